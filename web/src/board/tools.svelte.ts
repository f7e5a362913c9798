import { addPath, handFamilies, setPaths } from '../state/handwork'
import { around, ring } from '../lib/drawnpaths'
import { distance, roundOf, type Point, type Round } from '../lib/geom'
import type { Pick } from '../api/types'
import { project, unproject } from './camera'
import type { Model } from './model.svelte'
import { pickUnder, reach, under, type Hit } from './under'
import { angleText, forceText, mmText } from '../sheet/wording'

/** mm that a hand-drawn strand keeps from a hole's rim: a wall and half a bead. */
const clear = 2

/** Tools answers the pointer, and the cross in the middle for those who use keys. */
export class Tools {
  hit = $state.raw<Hit | null>(null)
  measured = $state.raw<Point[]>([])
  /** The strand being drawn. */
  draft = $state.raw<Point[]>([])
  /** Where the leaf of a feature stands, pixels. */
  leaf = $state.raw<{ pick: Pick; at: Point } | null>(null)
  /** A load being dragged: what it would become. */
  aim = $state.raw<{ key: string; size: number; angle: number } | null>(null)
  /** A point of a drawn strand being dragged. */
  held = $state.raw<{ family: number; path: number; point: number; at: Point } | null>(null)
  marked = $state.raw<Point | null>(null)
  keyed = $state(false)
  private cutFrom: Point | null = null

  constructor(readonly model: Model) {}

  private get view() {
    return this.model.view
  }

  private get part() {
    return this.model.job.part
  }

  point(p: Point): Point {
    return unproject(this.model.camera, p.x, p.y)
  }

  /** snapped moves a point onto a centre or a corner near by. */
  private snapped(p: Point): Point {
    const near = reach / this.model.camera.scale
    let best: Point | undefined
    const offer = (q: Point): void => {
      if (distance(p, q) < near && (!best || distance(p, q) < distance(p, best))) best = q
    }
    for (const l of this.part?.loops ?? []) {
      const round = roundOf(l)
      if (round) offer(round)
      for (const e of l.edges ?? []) offer({ x: e.a[0], y: e.a[1] })
    }
    return best ?? p
  }

  /** hover reads what lies under the pointer. */
  hover(px: Point): void {
    this.keyed = false
    this.hit = under(this.model, this.point(px))
  }

  /** look reads what lies under the cross in the middle. */
  look(): void {
    this.keyed = true
    const c = this.model.camera
    this.hit = under(this.model, unproject(c, c.width / 2, c.height / 2))
  }

  leave(): void {
    this.hit = null
  }

  press(px: Point): void {
    if (this.view.tool === 'cut') this.cutFrom = this.snapped(this.point(px))
    else if (this.view.tool === 'point') this.grab(px)
  }

  /** grab takes hold of a load's arrow head or of a drawn strand's point. */
  private grab(px: Point): void {
    for (const a of this.arrows()) {
      if (distance(px, a.tip) < reach + 4) {
        this.aim = { key: a.key, size: a.size, angle: a.angle }
        return
      }
    }
    for (const f of handFamilies(this.model.job)) {
      f.paths.forEach((p, path) =>
        p.points.forEach((q, point) => {
          if (this.view.show === 'strands' && distance(px, project(this.model.camera, q.x, q.y)) < reach) this.held = { family: f.index, path, point, at: q }
        }),
      )
    }
  }

  /** arrows gives the loads of the case in hand as they stand on the board, in pixels. */
  arrows() {
    const c = this.part?.cases?.[this.view.loadCase]
    const most = Math.max(1e-9, ...(c?.loads ?? []).map((l) => l.size))
    return (c?.loads ?? []).map((l) => {
      const aimed = this.aim?.key === l.key ? this.aim : null
      const angle = aimed?.angle ?? l.angle_deg
      const size = aimed?.size ?? l.size
      const base = project(this.model.camera, l.x_mm, l.y_mm, this.model.camera.cz)
      const flat = Math.cos(this.model.camera.tilt)
      const a = (angle * Math.PI) / 180 + this.model.camera.yaw
      const long = 34 + 56 * Math.min(1.6, size / most)
      const tip = { x: base.x + long * Math.cos(a), y: base.y - long * Math.sin(a) * flat }
      return { key: l.key, base, tip, angle, size, most, unit: l.unit, how: l.how, feature: l.feature }
    })
  }

  /** drag moves what was taken hold of; false lets the picture move instead. */
  drag(px: Point): boolean {
    if (this.cutFrom) {
      this.view.cut = [this.cutFrom, this.snapped(this.point(px))]
      return true
    }
    if (this.aim) {
      const a = this.arrows().find((x) => x.key === this.aim!.key)
      if (!a) return false
      const [dx, dy] = [px.x - a.base.x, a.base.y - px.y]
      const size = Math.max(0.02, (Math.hypot(dx, dy) - 34) / 56) * a.most
      this.aim = { key: a.key, size: Number(size.toPrecision(2)), angle: Math.round((Math.atan2(dy, dx) * 180) / Math.PI) }
      return true
    }
    if (this.held) {
      this.held = { ...this.held, at: this.point(px) }
      return true
    }
    return false
  }

  release(px: Point, click: boolean): void {
    const cut = this.cutFrom
    this.cutFrom = null
    if (this.aim) return void this.settleAim(click)
    if (this.held) return void this.settleHeld(click)
    if (cut && !click) return
    if (click) this.act(this.point(px), px)
  }

  private async settleAim(click: boolean): Promise<void> {
    const aim = this.aim!
    if (!click) await this.setLoad(aim.key, aim.size, aim.angle)
    this.aim = null
  }

  /** setLoad writes a load's size and direction as one edit. */
  async setLoad(key: string, size: number, angle: number): Promise<void> {
    const load = this.part?.cases?.flatMap((c) => c.loads).find((l) => l.key === key)
    const field = load?.unit === 'MPa' ? 'stress' : 'force'
    const text = field === 'force' ? forceText(size) : `${size} MPa`
    await this.model.job.edit('load', { op: 'set', key: `${key}.${field}`, value: text }, { op: 'set', key: `${key}.angle`, value: angleText(angle) })
  }

  private async settleHeld(click: boolean): Promise<void> {
    const held = this.held!
    const family = handFamilies(this.model.job).find((f) => f.index === held.family)
    this.view.selection = { kind: 'drawn', family: held.family, path: held.path }
    if (!click && family) {
      const paths = family.paths.map((p, i) => (i === held.path ? { ...p, points: p.points.map((q, k) => (k === held.point ? held.at : q)) } : p))
      await setPaths(this.model.job, family, paths, 'move a point')
    }
    this.held = null
  }

  /** act does what the tool in hand does at a point. */
  act(p: Point, px: Point): void {
    switch (this.view.tool) {
      case 'point':
        return this.choose(p, px)
      case 'measure':
        this.measured = this.measured.length >= 2 ? [this.snapped(p)] : [...this.measured, this.snapped(p)]
        return
      case 'cut':
        if (this.view.cut && this.marked) this.marked = null
        this.view.cut = this.measured.length === 1 ? [this.measured[0]!, this.snapped(p)] : this.view.cut
        this.measured = this.measured.length === 1 ? [] : [this.snapped(p)]
        return
      case 'probe':
        return void this.probe(p)
      case 'draw':
        return this.draw(p)
    }
  }

  private choose(p: Point, px: Point): void {
    const hit = under(this.model, p)
    this.leaf = null
    if (hit.strand && this.view.show === 'strands') this.view.selection = { kind: 'strand', layer: hit.strand.layer, strand: hit.strand.strand }
    else if (hit.pick) {
      this.view.selection = hit.pick.feature ? { kind: 'feature', name: hit.pick.feature } : { kind: 'edge', loop: hit.pick.loop, edge: hit.pick.edge }
      this.leaf = { pick: hit.pick, at: px }
    } else this.view.selection = null
  }

  private async probe(p: Point): Promise<void> {
    const names = new Set(this.model.job.tables('probe').map((t) => String(t['name'])))
    let n = names.size + 1
    while (names.has(`probe ${n}`)) n++
    await this.model.job.edit('place a probe', { op: 'insert', key: 'probe', table: { name: `probe ${n}`, point: [mmText(p.x), mmText(p.y)] } })
    this.view.tool = 'point'
  }

  /** draw adds a point, or leads the strand round the hole that was clicked. */
  private draw(p: Point): void {
    const pick = pickUnder(this.model, p)
    const round = pick?.kind === 'hole' ? roundOf(this.part?.loops?.[pick.loop]) : undefined
    if (!round) this.draft = [...this.draft, p]
    else if (!this.draft.length) void this.loop(round)
    else this.draft = [...this.draft, ...around(this.draft.at(-1)!, round.x, round.y, round.diameter / 2, clear)]
  }

  /** loop lays one closed strand round a hole. */
  async loop(round: Round): Promise<void> {
    await addPath(this.model.job, ring(round.x, round.y, round.diameter / 2, clear))
    this.view.show = 'strands'
  }

  /** finish ends the strand being drawn and hands it to the job. */
  finish(): void {
    if (this.view.tool !== 'draw') return
    const points = this.draft.filter((p, i) => i === 0 || distance(p, this.draft[i - 1]!) > 0.2)
    this.draft = []
    if (points.length < 2) return
    const closed = points.length > 3 && distance(points[0]!, points.at(-1)!) < reach / this.model.camera.scale
    void addPath(this.model.job, { points: closed ? points.slice(0, -1) : points, closed })
    this.view.tool = 'point'
  }

  /** remove deletes the drawn strand that is picked out. */
  remove(): boolean {
    const s = this.view.selection
    if (s?.kind !== 'drawn') return false
    const family = handFamilies(this.model.job).find((f) => f.index === s.family)
    if (family) void setPaths(this.model.job, family, family.paths.filter((_, i) => i !== s.path), 'delete a strand')
    this.view.selection = null
    return true
  }

  /** cancel drops whatever is under way; false when there was nothing. */
  cancel(): boolean {
    const busy = this.draft.length > 0 || this.aim !== null || this.held !== null || this.leaf !== null || this.measured.length > 0 || this.view.cut !== null || this.view.tool !== 'point' || this.view.selection !== null
    this.draft = []
    this.measured = []
    this.aim = this.held = this.leaf = null
    this.cutFrom = null
    this.view.cut = null
    this.marked = null
    this.view.tool = 'point'
    this.view.selection = null
    return busy
  }
}
