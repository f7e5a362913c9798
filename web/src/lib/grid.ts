import { nearestOnSegment, type Box, type Point } from './geom'

/**
 * Grid sorts boxes into square cells, so that what lies near a point is found
 * without looking at all of them. Cells are packed: one list of members and
 * one list of where each cell's members begin.
 */
export class Grid {
  private readonly begin: Uint32Array
  private readonly members: Uint32Array
  private readonly nx: number
  private readonly ny: number

  /** boxOf writes item i's box into the given four numbers. */
  constructor(
    private readonly bounds: Box,
    private readonly cell: number,
    count: number,
    boxOf: (i: number, out: Float64Array) => void,
  ) {
    this.nx = Math.max(1, Math.ceil((bounds.x1 - bounds.x0) / cell))
    this.ny = Math.max(1, Math.ceil((bounds.y1 - bounds.y0) / cell))
    const begin = new Uint32Array(this.nx * this.ny + 1)
    const box = new Float64Array(4)
    const each = (f: (cell: number, i: number) => void): void => {
      for (let i = 0; i < count; i++) {
        boxOf(i, box)
        const [i0, i1] = [this.column(box[0]!), this.column(box[2]!)]
        const [j0, j1] = [this.row(box[1]!), this.row(box[3]!)]
        for (let r = j0; r <= j1; r++) for (let c = i0; c <= i1; c++) f(r * this.nx + c, i)
      }
    }
    each((c) => void begin[c + 1]!++)
    for (let c = 0; c < this.nx * this.ny; c++) begin[c + 1]! += begin[c]!
    this.members = new Uint32Array(begin[this.nx * this.ny]!)
    const next = begin.slice()
    each((c, i) => void (this.members[next[c]!++] = i))
    this.begin = begin
  }

  private column(x: number): number {
    return Math.min(this.nx - 1, Math.max(0, Math.floor((x - this.bounds.x0) / this.cell)))
  }

  private row(y: number): number {
    return Math.min(this.ny - 1, Math.max(0, Math.floor((y - this.bounds.y0) / this.cell)))
  }

  /** near calls visit for each member of the cells within reach of p; one may come twice. */
  near(p: Point, reach: number, visit: (i: number) => void): void {
    const [i0, i1] = [this.column(p.x - reach), this.column(p.x + reach)]
    const [j0, j1] = [this.row(p.y - reach), this.row(p.y + reach)]
    for (let r = j0; r <= j1; r++) {
      for (let c = i0; c <= i1; c++) {
        const cell = r * this.nx + c
        for (let k = this.begin[cell]!; k < this.begin[cell + 1]!; k++) visit(this.members[k]!)
      }
    }
  }
}

/** TriangleFinder finds the triangle under a point. */
export class TriangleFinder {
  private readonly grid: Grid

  constructor(
    private readonly xy: Float32Array,
    private readonly tris: Uint32Array,
    bounds: Box,
  ) {
    const n = tris.length / 3
    const area = (bounds.x1 - bounds.x0) * (bounds.y1 - bounds.y0)
    const cell = Math.max(1e-6, Math.sqrt((2 * area) / Math.max(1, n)))
    this.grid = new Grid(bounds, cell, n, (t, out) => {
      const [a, b, c] = this.corners(t)
      out[0] = Math.min(xy[2 * a]!, xy[2 * b]!, xy[2 * c]!)
      out[1] = Math.min(xy[2 * a + 1]!, xy[2 * b + 1]!, xy[2 * c + 1]!)
      out[2] = Math.max(xy[2 * a]!, xy[2 * b]!, xy[2 * c]!)
      out[3] = Math.max(xy[2 * a + 1]!, xy[2 * b + 1]!, xy[2 * c + 1]!)
    })
  }

  private corners(t: number): [number, number, number] {
    return [this.tris[3 * t]!, this.tris[3 * t + 1]!, this.tris[3 * t + 2]!]
  }

  /** at returns the triangle that holds p and p's shares of its corners. */
  at(p: Point): { triangle: number; shares: [number, number, number] } | undefined {
    let found: { triangle: number; shares: [number, number, number] } | undefined
    this.grid.near(p, 0, (t) => {
      if (found) return
      const [a, b, c] = this.corners(t)
      const xy = this.xy
      const [ax, ay] = [xy[2 * a]!, xy[2 * a + 1]!]
      const [ux, uy] = [xy[2 * b]! - ax, xy[2 * b + 1]! - ay]
      const [vx, vy] = [xy[2 * c]! - ax, xy[2 * c + 1]! - ay]
      const det = ux * vy - uy * vx
      const s = ((p.x - ax) * vy - (p.y - ay) * vx) / det
      const w = ((p.y - ay) * ux - (p.x - ax) * uy) / det
      const slack = -1e-4 // shares: single-precision corners leave hair gaps at shared sides
      if (s >= slack && w >= slack && s + w <= 1 - slack) found = { triangle: t, shares: [1 - s - w, s, w] }
    })
    return found
  }
}

/** nearestSegment finds, of the segments a grid knows, the one nearest to p. */
export function nearestSegment(
  grid: Grid,
  p: Point,
  reach: number,
  xyz: Float32Array,
  take: (i: number) => boolean,
): { segment: number; t: number; d: number } | undefined {
  let best: { segment: number; t: number; d: number } | undefined
  grid.near(p, reach, (i) => {
    if (!take(i)) return
    const n = nearestOnSegment(p, xyz[3 * i]!, xyz[3 * i + 1]!, xyz[3 * i + 3]!, xyz[3 * i + 4]!)
    if (n.d <= reach && (!best || n.d < best.d)) best = { segment: i, ...n }
  })
  return best
}
