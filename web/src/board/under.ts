import { distanceToPath, inside, nearestOnSegment, type Point } from '../lib/geom'
import type { Feature, Pick } from '../api/types'
import { isPlan } from './camera'
import type { Model } from './model.svelte'

/** What lies under the pointer. */
export interface Hit {
  point: Point
  feature?: Feature | undefined
  pick?: Pick | undefined
  value?: number | undefined
  strand?: { layer: number; strand: number; index: number; pointIndex: number } | undefined
}

/** Pixels within which a click means a thing. */
export const reach = 8

/** under reads what lies at a point of the part. */
export function under(m: Model, point: Point): Hit {
  const hit: Hit = { point }
  if (!isPlan(m.camera)) return hit
  if (m.view.show === 'field' && m.shade && m.finder) {
    const f = m.finder.at(point)
    if (f) {
      const v = f.shares.reduce((sum, s, k) => sum + s * m.shade!.values[3 * f.triangle + k]!, 0)
      if (Number.isFinite(v)) hit.value = v
    }
  }
  if (m.view.show === 'strands' || m.view.show === 'program') hit.strand = strandUnder(m, point)
  if (!hit.strand) hit.pick = pickUnder(m, point)
  hit.feature = hit.pick && (m.job.part?.features ?? []).find((f) => f.name === hit.pick!.feature)
  return hit
}

function strandUnder(m: Model, p: Point): Hit['strand'] {
  const s = m.strands
  const group = m.job.views?.layers?.[m.topLayer]?.group
  if (!s || !m.segments || group === undefined) return undefined
  const near = Math.max(0.6, reach / m.camera.scale)
  let best: { i: number; d: number } | undefined
  m.segments.near(p, near, (i) => {
    const n = nearestOnSegment(p, s.points[2 * i]!, s.points[2 * i + 1]!, s.points[2 * i + 2]!, s.points[2 * i + 3]!)
    if (n.d > near || (best && n.d >= best.d)) return
    const k = strandOf(s.start, i)
    if (s.group[k] === group && i + 1 < s.start[k + 1]!) best = { i, d: n.d }
  })
  if (!best) return undefined
  const index = strandOf(s.start, best.i)
  return { layer: m.topLayer, strand: index - (s.ranges[group]?.[0] ?? 0), index, pointIndex: best.i }
}

/** pickUnder finds the hole or the edge at a point. */
export function pickUnder(m: Model, p: Point): Pick | undefined {
  const near = reach / m.camera.scale
  const loops = m.job.part?.loops ?? []
  const picks = m.job.part?.picks ?? []
  for (let i = 1; i < loops.length; i++) {
    if (!inside(p, loops[i]!.points.flat()) && distanceToPath(p, loops[i]!.points.flat(), true) > near) continue
    const hole = picks.find((k) => k.kind === 'hole' && k.loop === i)
    if (hole) return hole
  }
  let best: Pick | undefined
  let least = near
  for (const k of picks) {
    const e = k.kind === 'side' ? loops[k.loop]?.edges?.[k.edge] : undefined
    if (!e) continue
    const d = Math.min(nearestOnSegment(p, e.a[0], e.a[1], e.mid[0], e.mid[1]).d, nearestOnSegment(p, e.mid[0], e.mid[1], e.b[0], e.b[1]).d)
    if (d < least) [best, least] = [k, d]
  }
  return best
}

/** strandOf finds the strand that a point belongs to. */
export function strandOf(start: Uint32Array, point: number): number {
  let [lo, hi] = [0, start.length - 1]
  while (hi - lo > 1) {
    const mid = (lo + hi) >> 1
    if (start[mid]! <= point) lo = mid
    else hi = mid
  }
  return lo
}
