/** Plane geometry for pointing and drawing; lengths in mm. */

export interface Point {
  readonly x: number
  readonly y: number
}

export interface Box {
  readonly x0: number
  readonly y0: number
  readonly x1: number
  readonly y1: number
}

export function distance(a: Point, b: Point): number {
  return Math.hypot(a.x - b.x, a.y - b.y)
}

/** boxOf bounds packed x, y pairs. */
export function boxOf(xy: ArrayLike<number>, stride = 2): Box {
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity]
  for (let i = 0; i + 1 < xy.length; i += stride) {
    x0 = Math.min(x0, xy[i]!)
    x1 = Math.max(x1, xy[i]!)
    y0 = Math.min(y0, xy[i + 1]!)
    y1 = Math.max(y1, xy[i + 1]!)
  }
  return { x0, y0, x1, y1 }
}

/** grown adds a margin all round. */
export function grown(b: Box, by: number): Box {
  return { x0: b.x0 - by, y0: b.y0 - by, x1: b.x1 + by, y1: b.y1 + by }
}

/** nearestOnSegment gives the share along a–b nearest to p, and its distance. */
export function nearestOnSegment(p: Point, ax: number, ay: number, bx: number, by: number): { t: number; d: number } {
  const dx = bx - ax
  const dy = by - ay
  const len2 = dx * dx + dy * dy
  const t = len2 > 0 ? Math.min(1, Math.max(0, ((p.x - ax) * dx + (p.y - ay) * dy) / len2)) : 0
  return { t, d: Math.hypot(p.x - ax - t * dx, p.y - ay - t * dy) }
}

/** distanceToPath is the distance from p to a chain of packed x, y pairs. */
export function distanceToPath(p: Point, xy: ArrayLike<number>, closed: boolean): number {
  const n = xy.length / 2
  let least = Infinity
  for (let i = 0; i + 1 < n + (closed ? 1 : 0); i++) {
    const j = (i + 1) % n
    least = Math.min(least, nearestOnSegment(p, xy[2 * i]!, xy[2 * i + 1]!, xy[2 * j]!, xy[2 * j + 1]!).d)
  }
  return least
}

/** inside reports whether p lies in a closed chain (even–odd). */
export function inside(p: Point, xy: ArrayLike<number>): boolean {
  const n = xy.length / 2
  let odd = false
  for (let i = 0, j = n - 1; i < n; j = i++) {
    const [xi, yi, xj, yj] = [xy[2 * i]!, xy[2 * i + 1]!, xy[2 * j]!, xy[2 * j + 1]!]
    if (yi > p.y !== yj > p.y && p.x < ((xj - xi) * (p.y - yi)) / (yj - yi) + xi) odd = !odd
  }
  return odd
}

/** crossing gives the share along a–b at which c–d crosses it, or undefined. */
export function crossing(ax: number, ay: number, bx: number, by: number, cx: number, cy: number, dx: number, dy: number): number | undefined {
  const [rx, ry, sx, sy] = [bx - ax, by - ay, dx - cx, dy - cy]
  const den = rx * sy - ry * sx
  if (den === 0) return undefined
  const t = ((cx - ax) * sy - (cy - ay) * sx) / den
  const u = ((cx - ax) * ry - (cy - ay) * rx) / den
  return t >= 0 && t <= 1 && u >= 0 && u <= 1 ? t : undefined
}

/** Round is a full circle among the part's loops. */
export interface Round extends Point {
  readonly diameter: number
}

interface RoundEdge {
  readonly kind: string
  readonly center?: readonly [number, number]
  readonly radius_mm?: number
}

/** roundness is how far, mm, a circle's arcs may disagree on their centre and radius. */
const roundness = 1e-3

/** roundOf gives a loop's circle when all its edges lie on one. */
export function roundOf(loop: { readonly edges: readonly RoundEdge[] | null } | undefined): Round | undefined {
  const first = loop?.edges?.[0]
  if (!first?.center || !first.radius_mm) return undefined
  const [x, y] = first.center
  const r = first.radius_mm
  const same = loop!.edges!.every((e) => e.kind === 'arc' && e.center !== undefined && Math.hypot(e.center[0] - x, e.center[1] - y) < roundness && Math.abs((e.radius_mm ?? 0) - r) < roundness)
  return same ? { x, y, diameter: 2 * r } : undefined
}

/** lengths gives the running length along packed coordinates. */
export function lengths(xy: ArrayLike<number>, from: number, to: number, stride: number): Float64Array {
  const out = new Float64Array(Math.max(0, to - from))
  for (let i = from + 1; i < to; i++) {
    out[i - from] = out[i - from - 1]! + Math.hypot(xy[stride * i]! - xy[stride * (i - 1)]!, xy[stride * i + 1]! - xy[stride * (i - 1) + 1]!)
  }
  return out
}

/** niceStep is the round number (1, 2 or 5 times a power of ten) nearest below x. */
export function niceStep(x: number): number {
  const power = 10 ** Math.floor(Math.log10(x))
  const m = x / power
  return (m >= 5 ? 5 : m >= 2 ? 2 : 1) * power
}
