import { untrack } from 'svelte'
import type { ShapeInfo } from '../api/types'
import type { Job } from '../state/job.svelte'
import type { View } from '../state/view.svelte'
import { notices } from '../state/notices.svelte'
import { boxOf, type Box } from '../lib/geom'
import { Grid, TriangleFinder } from '../lib/grid'
import { families, familiesDark, plastics, plasticsDark, swatches, table, amount, balance, glow, type Ramp } from '../lib/ramp'
import { fitted, type Camera } from './camera'
import type { Of, Store, Strands } from './data'
import { Raster } from './gl/raster'
import { cornerTriangles, lowHigh, prepare, type MeshData } from './meshdata'
import { quantities, shadeOf, type Quantity, type Shade } from './quantities'
import type { Scene } from './scene'

/** A shape reads well when its greatest movement is this share of the part's diagonal. */
const readable = 0.1

/** How a strand's colour is to be read. */
export interface StrandShade {
  title: string
  unit: string
  lo: number
  hi: number
  ramp: Ramp | null
  names: string[]
}

/**
 * Model keeps what the board shows in step with the server's results: it
 * fetches a view when the picture asks for it, and hands it to the scene.
 */
export class Model {
  camera = $state.raw<Camera>({ cx: 0, cy: 0, cz: 0, scale: 4, yaw: 0, tilt: 0, width: 800, height: 500 })
  mesh = $state.raw<MeshData | null>(null)
  shade = $state.raw<Shade | null>(null)
  strands = $state.raw<Strands | null>(null)
  strandShade = $state.raw<StrandShade | null>(null)
  /** How the nodes move, three numbers each, the greatest of them, and of a shape as a plate what it is. */
  displacement = $state.raw<{ u: Float32Array; greatest: number; lo: number; hi: number; title: string; unit: string } | null>(null)
  /** Views on their way from the server. */
  awaited = $state(0)
  coverage = $state.raw<{ gap: number; overlap: number; layer: number } | null>(null)
  /** The kinds of plastic bead in the layer on top, and all that there may be. */
  beads = $state.raw<{ here: number[]; kinds: string[] }>({ here: [], kinds: [] })
  /** Grows when the scene holds something new to paint. */
  fresh = $state(0)
  scene: Scene | null = null
  /** Data that came since the last frame, and when: the board notes when it is on the screen. */
  readonly arrived: { what: string; at: number }[] = []
  finder: TriangleFinder | null = null
  private sorted: Grid | null = null
  /** What the board is fitted to, once the part is known. */
  box = $state.raw<Box | null>(null)
  /** Counts requests of each kind: an answer that a later one has overtaken is left. */
  private readonly latest = new Map<string, number>()
  private strandsFor = -1
  private meshFor = -1

  constructor(
    readonly job: Job,
    readonly view: View,
  ) {}

  private get store(): Store {
    return this.job.store
  }

  get has(): readonly string[] {
    return this.job.views?.has ?? []
  }

  get quantities(): Quantity[] {
    return quantities(this.job.views?.fields ?? [])
  }

  get quantity(): Quantity | undefined {
    const list = this.quantities
    return list.find((q) => q.id === this.view.quantity) ?? list.find((q) => q.id === 'reserve.worst') ?? list[0]
  }

  /** The pieces of all strands, sorted by place when first asked for. */
  get segments(): Grid | null {
    if (!this.sorted && this.strands) this.sorted = segmentGrid(this.strands)
    return this.sorted
  }

  /** The printed layer that is on top in the picture. */
  get topLayer(): number {
    const layers = this.job.views?.layers ?? []
    if (this.view.layer >= 0 && this.view.layer < layers.length) return this.view.layer
    const composite = layers.findIndex((l) => l.kind === 'composite')
    return composite >= 0 ? composite : layers.length - 1
  }

  /** The shapes as a plate that there are under the case in hand. */
  get shapes(): ShapeInfo[] {
    return (this.job.views?.shapes ?? []).filter((s) => s.case < 0 || s.case === this.view.loadCase)
  }

  /** The one that the part is shown in. */
  get shape(): ShapeInfo | undefined {
    return this.shapes.find((s) => s.id === this.view.shape)
  }

  /** The quick analysis, where the picture shows the part as printed and the loads are newer than the run. */
  of(design: number): Of | undefined {
    return this.job.quick && design === 0 ? { of: 'quick', stamp: this.job.quick.input_hash } : undefined
  }

  setOutline(): void {
    const loops = this.job.part?.loops
    if (!loops?.length || !this.scene) return
    const slabs = this.job.part?.slabs ?? []
    this.scene.setOutline(
      slabs.length ? slabs.map((s) => ({ top: s.top_mm, loops: s.loops.map((l) => l.flat()) })) : [{ top: Infinity, loops: loops.map((l) => l.points.flat()) }],
    )
    const box = boxOf(loops[0]!.points.flat())
    const moved = !this.box || Object.entries(box).some(([k, v]) => Math.abs(v - this.box![k as keyof Box]) > 1e-6)
    this.box = box
    if (moved) this.fit()
    this.fresh++
  }

  fit(): void {
    if (this.box) this.camera = fitted(this.camera, this.box, (this.job.part?.thickness_mm ?? 0) * this.view.apart)
  }

  resize(width: number, height: number): void {
    const first = this.camera.width === 800 && this.camera.height === 500
    this.camera = { ...this.camera, width, height }
    if (first) this.fit()
  }

  /** fetched waits for a view; nothing comes of one that failed or was overtaken. */
  private async fetched<A>(kind: string, ask: () => Promise<A>): Promise<A | undefined> {
    const turn = (this.latest.get(kind) ?? 0) + 1
    this.latest.set(kind, turn)
    untrack(() => this.awaited++) // those who ask do not depend on the count
    try {
      const answer = await notices.guard(ask)
      return this.latest.get(kind) === turn ? answer : undefined
    } finally {
      this.awaited--
    }
  }

  async loadMesh(generation: number): Promise<void> {
    if (!this.has.includes('mesh') || !this.scene || this.meshFor === generation) return
    this.meshFor = generation
    const pack = await this.fetched('mesh', () => this.store.mesh())
    if (!pack) return
    this.arrived.push({ what: 'mesh', at: performance.now() })
    const mesh = prepare(pack.f32('nodes'), pack.u32('triangles'))
    this.scene.setMesh(mesh)
    this.finder = new TriangleFinder(mesh.nodes, cornerTriangles(mesh.triangles), boxOf(mesh.nodes))
    this.mesh = mesh
    this.fresh++
  }

  async loadField(q: Quantity, design: number, loadCase: number, layer: number, dark: boolean): Promise<void> {
    const pack = await this.fetched('field', () =>
      this.store.field(q.field, design, q.needs.includes('case') ? loadCase : 0, q.needs.includes('layer') ? layer : -1, q.needs.includes('face') ? this.view.face : undefined, this.of(design)),
    )
    if (!pack || !this.mesh) return
    this.arrived.push({ what: 'field', at: performance.now() })
    const shade = shadeOf(q, pack.f32('values'), dark)
    this.scene?.setField(shade.painted, shade.ramp)
    this.shade = shade
    this.fresh++
  }

  async loadMove(design: number, loadCase: number): Promise<void> {
    const pack = await this.fetched('displacement', () => this.store.displacement(design, loadCase, this.of(design)))
    if (!pack || !this.mesh) return
    const flat = pack.f32('u')
    const u = new Float32Array((flat.length / 2) * 3)
    for (let i = 0; i < flat.length / 2; i++) u.set([flat[2 * i]!, flat[2 * i + 1]!], 3 * i)
    this.scene?.setMove(u)
    this.displacement = { u, greatest: Number(pack.meta['greatest_mm'] ?? 0), lo: 0, hi: 0, title: '', unit: 'mm' }
    this.fresh++
  }

  async loadShape(id: string, loadCase: number): Promise<void> {
    const pack = await this.fetched('displacement', () => this.store.shape(id, loadCase, this.of(0)))
    if (!pack || !this.mesh || !this.scene) return
    const u = pack.f32('u')
    const [lo, hi] = [Number(pack.meta['lo']), Number(pack.meta['hi'])]
    this.scene.setMove(u)
    this.displacement = { u, greatest: Number(pack.meta['greatest'] ?? 0), lo, hi, title: String(pack.meta['title']), unit: String(pack.meta['unit']) }
    if (this.view.show !== 'field') this.scene.setNodes(u.filter((_, i) => i % 3 === 2), balance)
    this.fresh++
  }

  /** moveScale is what displacements are multiplied by in the picture. */
  get moveScale(): number {
    const [d, box] = [this.displacement, this.box]
    if (!this.view.move || !d || !box) return 0
    if (this.view.move > 0) return this.view.move
    return d.greatest > 0 ? (readable * Math.hypot(box.x1 - box.x0, box.y1 - box.y0)) / d.greatest : 0
  }

  /** moveShade is how a shape as a plate is coloured: by its movement across. */
  get moveShade(): { lo: number; hi: number } | null {
    const d = this.displacement
    if (!d || !this.shape) return null
    const most = Math.max(-d.lo, d.hi, 1e-30)
    return { lo: -most, hi: most }
  }

  async loadStrands(generation: number): Promise<void> {
    if (!this.has.includes('strands') || this.strandsFor === generation) return
    this.strandsFor = generation
    const s = await this.fetched('strands', () => this.store.strands())
    if (!s) return
    this.arrived.push({ what: 'strands', at: performance.now() })
    this.strands = s
    this.scene?.setStrands(s)
    this.sorted = null
    this.fresh++
  }

  inkStrands(dark: boolean): void {
    const s = this.strands
    if (!s || !this.scene) return
    const ink = this.view.ink
    const names = [...new Set(s.groups.map((g) => g.family))]
    if (ink === 'family') {
      const index = s.groups.map((g) => names.indexOf(g.family))
      const v = new Float32Array(s.points.length / 2)
      for (let i = 0; i + 1 < s.start.length; i++) v.fill(index[s.group[i]!] ?? 0, s.start[i], s.start[i + 1])
      const list = dark ? familiesDark : families
      this.strandShade = { title: 'family', unit: '', lo: -0.5, hi: list.length - 0.5, ramp: null, names }
      this.scene.setStrandValues(v, `family ${dark}`, () => swatches(list), false)
    } else {
      const ramp = dark ? glow : amount
      const data = { use: s.use, radius: s.radius, share: s.share, width: s.width }[ink]
      const v = data.map((x) => (Number.isFinite(x) ? x : -3e38))
      const [least, greatest] = lowHigh(data.filter((x) => Number.isFinite(x)), 0.002)
      const range: [number, number] = ink === 'use' ? [0, Math.max(1, greatest)] : ink === 'radius' ? [0, 50] : [least, greatest > least ? greatest : least + 1e-3]
      const back = ink === 'radius' ? flipped(ramp) : ramp
      const words = { use: 'use: 1 fails at the required load', radius: 'radius of the bend', share: 'local tow share', width: 'width of the bead' }
      this.strandShade = { title: words[ink], unit: ink === 'radius' || ink === 'width' ? 'mm' : '', lo: range[0], hi: range[1], ramp: back, names: [] }
      this.scene.setStrandValues(v, `${back.name}`, () => table(back), true)
    }
    this.fresh++
  }

  async loadCrosses(loadCase: number, spacing: number): Promise<void> {
    const pack = await this.fetched('principal', () => this.store.principal(loadCase))
    if (!pack) return
    this.scene?.setCrosses(crosses(pack.f32('at'), pack.f32('s1'), pack.f32('s2'), pack.f32('angle'), spacing))
    this.fresh++
  }

  async loadBeads(layer: number): Promise<void> {
    const pack = await this.fetched('beads', () => this.store.beads(layer))
    if (!pack) return
    const kind = pack.u8('bead_kind')
    const closed = closedPaths(pack.f32('points'), pack.u32('start'), pack.u8('bead_closed'), pack.f32('bead_width'), kind)
    this.scene?.setBeads(closed.points, closed.start, closed.width, closed.kind)
    this.beads = { here: [...new Set(kind)].sort((a, b) => a - b), kinds: (pack.meta['kinds'] as string[] | undefined) ?? [] }
    this.fresh++
  }

  inkBeads(dark: boolean): void {
    this.scene?.setBeadInks(`beads ${dark}`, () => swatches(dark ? plasticsDark : plastics))
    this.fresh++
  }

  async loadCoverage(layer: number): Promise<void> {
    const pack = await this.fetched('coverage', () => this.store.coverage(layer))
    if (!pack || !this.scene) return
    const [nx, ny, cell] = [Number(pack.meta['nx']), Number(pack.meta['ny']), Number(pack.meta['cell_mm'])]
    const o = pack.meta['origin'] as [number, number]
    this.scene.setRaster(new Raster(this.scene.device, pack.u8('cells'), nx, ny, [o[0], o[1], o[0] + nx * cell, o[1] + ny * cell]))
    this.coverage = { gap: Number(pack.meta['gap_mm2']), overlap: Number(pack.meta['overlap_mm2']), layer }
    this.fresh++
  }

  playback = (from: number) => this.store.playback(from)
}

function flipped(r: Ramp): Ramp {
  return { ...r, name: `${r.name}, flipped`, knots: [...r.knots].reverse() }
}

/** segmentGrid sorts the pieces of all strands for pointing. */
function segmentGrid(s: Strands): Grid {
  const b = boxOf(s.points)
  const n = s.points.length / 2
  const cell = Math.max(1, Math.sqrt(((b.x1 - b.x0) * (b.y1 - b.y0)) / Math.max(1, n / 8)))
  return new Grid(b, cell, Math.max(0, n - 1), (i, out) => {
    out[0] = Math.min(s.points[2 * i]!, s.points[2 * i + 2]!)
    out[1] = Math.min(s.points[2 * i + 1]!, s.points[2 * i + 3]!)
    out[2] = Math.max(s.points[2 * i]!, s.points[2 * i + 2]!)
    out[3] = Math.max(s.points[2 * i + 1]!, s.points[2 * i + 3]!)
  })
}

/** crosses draws both principal directions, each as long as its stress is large, no two nearer than the spacing. */
export function crosses(at: Float32Array, s1: Float32Array, s2: Float32Array, angle: Float32Array, spacing: number): Float32Array {
  const taken = new Set<string>()
  const out: number[] = []
  const [, most] = lowHigh(s1.map((v, i) => Math.max(Math.abs(v), Math.abs(s2[i]!))), 0.01)
  for (let i = 0; i < s1.length; i++) {
    const [x, y] = [at[2 * i]!, at[2 * i + 1]!]
    const cell = `${Math.floor(x / spacing)} ${Math.floor(y / spacing)}`
    if (taken.has(cell)) continue
    taken.add(cell)
    for (const [s, a] of [
      [s1[i]!, angle[i]!],
      [s2[i]!, angle[i]! + Math.PI / 2],
    ] as const) {
      const r = 0.48 * spacing * Math.sqrt(Math.min(1, Math.abs(s) / Math.max(most, 1e-30)))
      out.push(x - r * Math.cos(a), y - r * Math.sin(a), 0, x + r * Math.cos(a), y + r * Math.sin(a), 0)
    }
  }
  return new Float32Array(out)
}

/** closedPaths repeats the first point of closed beads, so that they are drawn closed. */
export function closedPaths(points: Float32Array, start: Uint32Array, closed: Uint8Array, width: Float32Array, kind: Uint8Array) {
  const p: number[] = []
  const s = [0]
  const w: number[] = []
  const kinds: number[] = []
  for (let i = 0; i + 1 < start.length; i++) {
    for (let k = start[i]!; k < start[i + 1]!; k++) p.push(points[2 * k]!, points[2 * k + 1]!)
    if (closed[i] && start[i + 1]! > start[i]!) p.push(points[2 * start[i]!]!, points[2 * start[i]! + 1]!)
    s.push(p.length / 2)
    while (w.length < p.length / 2) {
      w.push(width[i]!)
      kinds.push(kind[i]!)
    }
  }
  return { points: new Float32Array(p), start: Uint32Array.from(s), width: new Float32Array(w), kind: new Float32Array(kinds) }
}
