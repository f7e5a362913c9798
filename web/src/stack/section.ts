import type { PartView, ViewLayer } from '../api/types'
import type { Strands } from '../board/data'
import { crossing, type Point } from '../lib/geom'

/** The part cut through along a line: where material is, and where beads are cut. */

/** Piece is a stretch of the line, mm from its start. */
export interface Piece {
  from: number
  to: number
}

/** within lists the stretches of a–b inside closed chains of x, y pairs. */
export function within(a: Point, b: Point, loops: readonly (readonly (readonly [number, number])[])[]): Piece[] {
  const length = Math.hypot(b.x - a.x, b.y - a.y)
  const at: number[] = []
  for (const l of loops) {
    l.forEach((p, i) => {
      const q = l[(i + 1) % l.length]!
      const t = crossing(a.x, a.y, b.x, b.y, p[0], p[1], q[0], q[1])
      if (t !== undefined) at.push(t * length)
    })
  }
  at.sort((x, y) => x - y)
  const distinct = at.filter((v, i) => i === 0 || v - at[i - 1]! > 1e-6)
  const out: Piece[] = []
  for (let i = 0; i + 1 < distinct.length; i += 2) out.push({ from: distinct[i]!, to: distinct[i + 1]! })
  return out
}

/** slabAt is the outline that a stepped part has at a height. */
export function slabAt<S extends { top_mm: number }>(slabs: readonly S[], z: number): S | undefined {
  return slabs.find((s) => z < s.top_mm) ?? slabs.at(-1)
}

/** cutBeads lists where the line cuts a group's strands: the middle and the width of each cut. */
export function cutBeads(a: Point, b: Point, s: Strands, group: number): { at: number; width: number }[] {
  const length = Math.hypot(b.x - a.x, b.y - a.y)
  const [ux, uy] = [(b.x - a.x) / length, (b.y - a.y) / length]
  const out: { at: number; width: number }[] = []
  const [from, to] = s.ranges[group] ?? [0, 0]
  for (let k = from; k < to; k++) {
    for (let i = s.start[k]!; i + 1 < s.start[k + 1]!; i++) {
      const [px, py, qx, qy] = [s.points[2 * i]!, s.points[2 * i + 1]!, s.points[2 * i + 2]!, s.points[2 * i + 3]!]
      const t = crossing(a.x, a.y, b.x, b.y, px, py, qx, qy)
      if (t === undefined) continue
      const l = Math.hypot(qx - px, qy - py)
      const sine = Math.abs(ux * (qy - py) - uy * (qx - px)) / Math.max(l, 1e-9)
      out.push({ at: t * length, width: s.width[i]! / Math.max(0.15, sine) })
    }
  }
  return out
}

/** beadsPath draws cut beads in a layer one unit high, a little apart. */
export function beadsPath(cuts: readonly { at: number; width: number }[]): string {
  return cuts.map((b) => `M${(b.at - 0.46 * b.width).toFixed(2)} .07h${(0.92 * b.width).toFixed(2)}v.86h${(-0.92 * b.width).toFixed(2)}z`).join('')
}

/**
 * bestCut is the line through the box's middle that cuts the strands: across
 * the longer side, where most strands are met end on.
 */
export function bestCut(box: readonly [number, number, number, number]): [Point, Point] {
  const [x0, y0, x1, y1] = box
  const grow = 1
  return x1 - x0 >= y1 - y0
    ? [
        { x: x0 + 0.3 * (x1 - x0), y: y0 - grow },
        { x: x0 + 0.3 * (x1 - x0), y: y1 + grow },
      ]
    : [
        { x: x0 - grow, y: y0 + 0.3 * (y1 - y0) },
        { x: x1 + grow, y: y0 + 0.3 * (y1 - y0) },
      ]
}

/** Layers fill the thickness when no more than this is left over, mm: far below what a printer can set. */
export const fill = 0.0005

/** planned lists the layers that the job asks for, bottom to top, before any is laid. */
export function planned(part: PartView | null): ViewLayer[] {
  const s = part?.stack
  if (!s) return []
  const out: ViewLayer[] = []
  let top = 0
  const put = (n: number, height: number, family?: string): void => {
    for (let i = 0; i < n; i++) {
      top += height
      out.push({ index: out.length, kind: family === undefined ? 'plastic' : 'composite', family, group: -1, composite: -1, top_mm: top, height_mm: height, strands: 0, strand_length_mm: 0 })
    }
  }
  put(s.covers_bottom, s.plastic_layer_mm)
  for (const family of s.order ?? []) put(1, s.composite_layer_mm, family)
  put(s.covers_top, s.plastic_layer_mm)
  return out
}

/** alike: both name the same layers in the same order. */
export function alike(a: readonly ViewLayer[], b: readonly ViewLayer[]): boolean {
  return a.length === b.length && a.every((l, i) => l.kind === b[i]!.kind && l.family === b[i]!.family)
}

/** orderOf names the families of the composite layers among layers bottom to top. */
export function orderOf(layers: readonly ViewLayer[]): string[] {
  return layers.filter((l) => l.kind === 'composite').map((l) => l.family ?? '')
}

/** shifted takes the entry at one place out and puts it in at another. */
export function shifted(order: readonly string[], from: number, to: number): string[] {
  const out = order.toSpliced(from, 1)
  out.splice(to, 0, order[from]!)
  return out
}
