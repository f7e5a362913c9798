import type { Pack } from '../lib/binary'
import type { Model } from '../board/model.svelte'
import { families, familiesDark, hex } from '../lib/ramp'
import { app } from '../state/app.svelte'

/** Film is a machine program as stretches of time. */
export interface Film {
  start: Float32Array
  end: Float32Array
  from: Float32Array
  to: Float32Array
  feed: Float32Array
  activity: Uint8Array
  tool: Uint8Array
  temperature: Float32Array
  layer: Uint32Array
  width: Float32Array
  line: Uint32Array
  activities: string[]
  tools: string[]
  total: number
  /** For each stretch, how many pieces of path are laid when it ends. */
  pieces: Uint32Array
}

/** none marks a stretch outside of any layer. */
const none = 0xffffffff

function joined<A extends Float32Array | Uint32Array | Uint8Array>(parts: A[], make: new (n: number) => A): A {
  const out = new make(parts.reduce((n, p) => n + p.length, 0))
  let at = 0
  for (const p of parts) {
    out.set(p as never, at)
    at += p.length
  }
  return out
}

/** filmOf joins the parts of a program as they came. */
export function filmOf(parts: readonly Pack[]): Film {
  const f32 = (name: string) => joined(parts.map((p) => p.f32(name)), Float32Array)
  const u32 = (name: string) => joined(parts.map((p) => p.u32(name)), Uint32Array)
  const u8 = (name: string) => joined(parts.map((p) => p.u8(name)), Uint8Array)
  const meta = parts[0]?.meta ?? {}
  const start = f32('start')
  return {
    start,
    end: f32('end'),
    from: f32('from'),
    to: f32('to'),
    feed: f32('feed'),
    activity: u8('activity'),
    tool: u8('tool'),
    temperature: f32('temperature'),
    layer: u32('layer'),
    width: f32('width'),
    line: u32('line'),
    activities: (meta['activities'] as string[] | null) ?? [],
    tools: (meta['tools'] as string[] | null) ?? [],
    total: Number(meta['total_s'] ?? 0),
    pieces: new Uint32Array(start.length),
  }
}

/** frameAt finds the stretch that holds a time. */
export function frameAt(f: Film, t: number): number {
  let [lo, hi] = [0, f.start.length - 1]
  while (lo < hi) {
    const mid = (lo + hi + 1) >> 1
    if (f.start[mid]! <= t) lo = mid
    else hi = mid - 1
  }
  return lo
}

/** laidPaths packs what a layer's stretches lay, in order, one path for each unbroken run. */
export function laidPaths(f: Film, layer: number) {
  const points: number[] = []
  const width: number[] = []
  const values: number[] = []
  const start = [0]
  let open = false
  for (let i = 0; i < f.start.length; i++) {
    const lays = f.layer[i] === layer && f.width[i]! > 0
    const joins = open && points.length > 1 && Math.hypot(points.at(-2)! - f.from[3 * i]!, points.at(-1)! - f.from[3 * i + 1]!) < 0.01
    if (open && !(lays && joins)) {
      start.push(points.length / 2)
      open = false
    }
    if (lays) {
      if (!open) {
        points.push(f.from[3 * i]!, f.from[3 * i + 1]!)
        width.push(f.width[i]!)
        values.push(f.tool[i]!)
        open = true
      }
      points.push(f.to[3 * i]!, f.to[3 * i + 1]!)
      width.push(f.width[i]!)
      values.push(f.tool[i]!)
    }
    f.pieces[i] = Math.max(0, points.length / 2 - (open ? 1 : 0))
  }
  if (open) start.push(points.length / 2)
  return { points: new Float32Array(points), start: Uint32Array.from(start), width: new Float32Array(width), values: new Float32Array(values) }
}

/** Playing runs a program along its time on the board. */
export class Playing {
  film = $state.raw<Film | null>(null)
  time = $state(0)
  going = $state(false)
  /** Times faster than the machine. */
  rate = $state(60)
  index = $state(0)
  /** Counts pictures, so that the board paints them. */
  frame = $state(0)
  readonly lo = -0.5
  readonly hi = 1.5
  laid = 0
  private turn = 0
  private layer = -2
  private last = 0
  private handle = 0

  constructor(readonly model: Model) {}

  /** load fetches the program part by part; the first can be played while the rest comes. */
  async load(): Promise<void> {
    const turn = ++this.turn
    const parts: Pack[] = []
    let from = 0
    try {
      do {
        const p = await this.model.playback(from)
        if (turn !== this.turn) return
        parts.push(p)
        from = Number(p.meta['next_s'] ?? 0)
        this.film = filmOf(parts)
        this.layer = -2
        this.seek(Math.min(this.time, this.loaded))
      } while (from > 0)
    } catch {
      if (!parts.length) this.film = null // no program yet: the player says so
    }
  }

  /** loaded is how far the program has come, s. */
  private get loaded(): number {
    return this.film?.end.at(-1) ?? 0
  }

  toggle(): void {
    if (this.going) this.stop()
    else this.play()
  }

  play(): void {
    if (!this.film) return
    if (this.time >= this.loaded) this.time = 0
    this.going = true
    this.last = performance.now()
    const tick = (now: number): void => {
      if (!this.going || !this.film) return
      this.seek(Math.min(this.loaded, this.time + ((now - this.last) / 1000) * this.rate))
      this.last = now
      if (this.time >= this.loaded) this.going = false
      else this.handle = requestAnimationFrame(tick)
    }
    this.handle = requestAnimationFrame(tick)
  }

  stop(): void {
    this.going = false
    cancelAnimationFrame(this.handle)
  }

  seek(t: number): void {
    const f = this.film
    if (!f || !f.start.length) return
    this.time = t
    this.index = frameAt(f, t)
    const layer = f.layer[this.index]!
    if (layer !== none && layer !== this.layer) this.showLayer(f, layer)
    this.laid = f.pieces[this.index]!
    this.frame++
  }

  private showLayer(f: Film, layer: number): void {
    this.layer = layer
    const p = laidPaths(f, layer)
    const list = app.dark ? familiesDark : families
    this.model.scene?.setPlayed(p.points, p.start, p.width, p.values)
    this.model.scene?.setStrandValues(undefined, `tools ${app.dark}`, () => Uint8Array.from([list[3]!, list[0]!].flatMap((c) => [...hex(c).map((x) => Math.round(255 * x)), 255])), false)
    this.model.view.layer = layer
  }

  /** nozzle is where the tip is now, part coordinates. */
  get nozzle(): { x: number; y: number; z: number } | null {
    const f = this.film
    if (!f || !f.start.length) return null
    const i = this.index
    const span = f.end[i]! - f.start[i]!
    const s = span > 0 ? Math.min(1, (this.time - f.start[i]!) / span) : 1
    const mix = (k: number) => f.from[3 * i + k]! + s * (f.to[3 * i + k]! - f.from[3 * i + k]!)
    return { x: mix(0), y: mix(1), z: mix(2) }
  }
}
