import { describe, expect, test } from 'vitest'
import { fitted, matrix, moved, project, turned, unproject, zoomed, type Camera } from '../src/board/camera'
import { crosses, closedPaths } from '../src/board/model.svelte'
import { lowHigh, perCorner, prepare, sides } from '../src/board/meshdata'
import { flags } from '../src/board/gl/ribbons'
import { strandOf } from '../src/board/under'
import { crossing, distanceToPath, inside, niceStep } from '../src/lib/geom'
import { Grid, TriangleFinder } from '../src/lib/grid'
import { around, pathLength, pathsOf, ring, valueOf } from '../src/lib/drawnpaths'
import { alike, bestCut, cutBeads, orderOf, planned, shifted, within } from '../src/stack/section'
import { ticks } from '../src/ui/chart'

let seed = 1
const random = () => (seed = (seed * 16807) % 2147483647) / 2147483647

describe('camera', () => {
  const c: Camera = { cx: 10, cy: -4, cz: 1, scale: 3, yaw: 0.4, tilt: 0.7, width: 900, height: 500 }
  test('unproject answers project at any height', () => {
    for (let i = 0; i < 100; i++) {
      const [x, y, z] = [200 * random() - 100, 200 * random() - 100, 9 * random()]
      const p = project(c, x, y, z)
      const q = unproject(c, p.x, p.y, z)
      expect(q.x).toBeCloseTo(x, 9)
      expect(q.y).toBeCloseTo(y, 9)
    }
  })
  test('the matrix puts points where project does', () => {
    const m = matrix(c)
    const [x, y, z] = [33, 12, 2.5]
    const clip = (row: number) => m[row]! * x + m[4 + row]! * y + m[8 + row]! * z + m[12 + row]!
    const p = project(c, x, y, z)
    expect(((clip(0) + 1) / 2) * c.width).toBeCloseTo(p.x, 2)
    expect(((1 - clip(1)) / 2) * c.height).toBeCloseTo(p.y, 2)
    expect(m[15]).toBe(1)
  })
  test('what lies higher is nearer to the eye', () => {
    const m = matrix({ ...c, tilt: 0, yaw: 0 })
    expect(m[10]).toBeLessThan(0)
  })
  test('zooming keeps the point under the pointer', () => {
    const before = unproject(c, 200, 130, c.cz)
    const after = unproject(zoomed(c, 1.7, 200, 130), 200, 130, c.cz)
    expect(after.x).toBeCloseTo(before.x, 9)
    expect(after.y).toBeCloseTo(before.y, 9)
  })
  test('moving follows the pointer, turning stays above the bed', () => {
    const p = project(moved(c, 30, -20), c.cx, c.cy, c.cz)
    expect(p.x).toBeCloseTo(c.width / 2 + 30, 9)
    expect(p.y).toBeCloseTo(c.height / 2 - 20, 9)
    expect(turned(c, 0, 9).tilt).toBeLessThan(Math.PI / 2)
    expect(turned(c, 0, -9).tilt).toBe(0)
  })
  test('a fitted box lies on the board', () => {
    const f = fitted(c, { x0: 0, y0: 0, x1: 190, y1: 36 }, 5)
    for (const [x, y] of [[0, 0], [190, 0], [190, 36], [0, 36]] as const) {
      const p = project(f, x, y, 0)
      expect(p.x).toBeGreaterThan(0)
      expect(p.x).toBeLessThan(f.width)
      expect(p.y).toBeGreaterThan(0)
      expect(p.y).toBeLessThan(f.height)
    }
  })
})

describe('plane geometry', () => {
  const square = [0, 0, 10, 0, 10, 10, 0, 10]
  test.each([
    [5, 5, true],
    [11, 5, false],
    [-1, -1, false],
  ])('(%d, %d) inside: %s', (x, y, want) => expect(inside({ x, y }, square)).toBe(want))
  test('distance to a closed chain counts its closing side', () => {
    expect(distanceToPath({ x: -2, y: 5 }, square, true)).toBe(2)
    expect(distanceToPath({ x: -2, y: 5 }, square, false)).toBeCloseTo(Math.hypot(2, 5), 12)
  })
  test('lines cross or not', () => {
    expect(crossing(0, 0, 10, 0, 5, -1, 5, 1)).toBe(0.5)
    expect(crossing(0, 0, 10, 0, 5, 1, 5, 2)).toBeUndefined()
    expect(crossing(0, 0, 10, 0, 0, 1, 10, 1)).toBeUndefined()
  })
  test.each([
    [0.07, 0.05],
    [1, 1],
    [37, 20],
    [99, 50],
  ])('round step below %d is %d', (x, want) => expect(niceStep(x)).toBeCloseTo(want, 12))
  test('a grid finds the same as looking at all', () => {
    const boxes = Array.from({ length: 300 }, () => [random() * 90, random() * 90])
    const g = new Grid({ x0: 0, y0: 0, x1: 100, y1: 100 }, 7, boxes.length, (i, out) => out.set([boxes[i]![0]!, boxes[i]![1]!, boxes[i]![0]! + 3, boxes[i]![1]! + 3]))
    for (let k = 0; k < 50; k++) {
      const p = { x: random() * 100, y: random() * 100 }
      const found = new Set<number>()
      g.near(p, 2, (i) => found.add(i))
      boxes.forEach(([x, y], i) => {
        if (p.x > x! - 2 && p.x < x! + 5 && p.y > y! - 2 && p.y < y! + 5) expect(found.has(i)).toBe(true)
      })
    }
  })
})

describe('meshes', () => {
  // two triangles on a square; the side 1–2 bulges
  const nodes = new Float32Array([0, 0, 10, 0, 10, 10, 0, 10, 5, 0, 11, 5, 5, 5, 5, 10, 0, 5])
  const tris = new Uint32Array([0, 1, 2, 4, 5, 6, 0, 2, 3, 6, 7, 8])
  const m = prepare(nodes, tris)
  test('a curved triangle becomes four, a straight one stays', () => expect(m.painted).toHaveLength(12 + 3))
  test('mid-sides take the mean, nothing stays nothing', () => {
    const v = perCorner(m, new Float32Array([1, 2, 3, Number.NaN, 5, 6]), -1)
    expect([...v.slice(0, 3)]).toEqual([1, 1.5, 2])
    expect(v[12]).toBe(-1)
  })
  test('each side once, in two pieces', () => expect(sides(m)).toHaveLength(5 * 4))
  test('the triangle under a point, and its shares', () => {
    const f = new TriangleFinder(nodes, new Uint32Array([0, 1, 2, 0, 2, 3]), { x0: 0, y0: 0, x1: 10, y1: 10 })
    const hit = f.at({ x: 8, y: 2 })!
    expect(hit.triangle).toBe(0)
    expect(hit.shares[0] + hit.shares[1] + hit.shares[2]).toBeCloseTo(1, 12)
    expect(hit.shares[1] * 10 + hit.shares[2] * 10).toBeCloseTo(8, 6)
    expect(f.at({ x: 12, y: 2 })).toBeUndefined()
  })
  test('bounds leave outliers aside', () => {
    const v = new Float32Array(1000).map((_, i) => i)
    v[0] = -1e6
    expect(lowHigh(v)).toEqual([-1e6, 999])
    expect(lowHigh(v, 0.01)[0]).toBeGreaterThan(0)
    expect(lowHigh(new Float32Array([Number.NaN]))).toEqual([0, 1])
  })
  test('crosses keep their distance and point along the stress', () => {
    const c = crosses(new Float32Array([1, 1, 1.2, 1, 9, 9]), new Float32Array([10, 10, 10]), new Float32Array([0, 0, 0]), new Float32Array([0, 0, 0]), 4)
    expect(c).toHaveLength(2 * 2 * 6)
    expect(c[1]).toBeCloseTo(c[4]!, 6)
  })
})

describe('paths', () => {
  const start = Uint32Array.from([0, 3, 5])
  test('flags mark where a path begins and ends', () => expect([...flags({ points: new Float32Array(10), start })]).toEqual([1, 0, 2, 1, 2]))
  test.each([
    [0, 0],
    [2, 0],
    [3, 1],
    [4, 1],
  ])('point %d belongs to strand %d', (p, want) => expect(strandOf(start, p)).toBe(want))
  test('closed beads come round', () => {
    const c = closedPaths(new Float32Array([0, 0, 1, 0, 1, 1]), Uint32Array.from([0, 3]), Uint8Array.from([1]), new Float32Array([0.5]), Uint8Array.from([3]))
    expect([...c.points]).toEqual([0, 0, 1, 0, 1, 1, 0, 0])
    expect([...c.kind]).toEqual([3, 3, 3, 3])
    expect(c.width).toHaveLength(4)
  })
})

describe('strands by hand', () => {
  test('text to points and back', () => {
    const value = [[['5 mm', '12 mm'], ['6 cm', '14 mm']], [['0 mm', '0 mm'], ['1 mm', '0 mm'], ['1 mm', '1 mm'], ['0 mm', '0 mm']]]
    const paths = pathsOf(value)
    expect(paths[0]!.points[1]).toEqual({ x: 60, y: 14 })
    expect(paths[1]).toMatchObject({ closed: true })
    expect(pathsOf(valueOf(paths))).toEqual(paths)
    expect(pathsOf('nonsense')).toEqual([])
  })
  test('a ring keeps clear of the rim all round', () => {
    const r = ring(10, 20, 6, 2)
    for (const p of r.points) expect(Math.hypot(p.x - 10, p.y - 20)).toBeCloseTo(8, 9)
    expect(pathLength(r)).toBeGreaterThan(0.99 * 2 * Math.PI * 8)
  })
  test('a lead round a hole begins along its tangent', () => {
    const from = { x: -30, y: 3 }
    const lead = around(from, 0, 0, 5, 2)
    const [a, b] = [lead[0]!, lead[1]!]
    const turn = (a.x - from.x) * a.x + (a.y - from.y) * a.y // tangent: at right angles to the radius
    expect(turn).toBeCloseTo(0, 6)
    expect(Math.hypot(b.x, b.y)).toBeCloseTo(7, 9)
    expect(around({ x: 1, y: 0 }, 0, 0, 5, 2)).toEqual([])
  })
})

describe('the part cut through', () => {
  const outline: [number, number][] = [[0, 0], [20, 0], [20, 10], [0, 10]]
  const hole: [number, number][] = [[8, 4], [12, 4], [12, 6], [8, 6]]
  test('material lies inside the outline and outside of holes', () => {
    const p = within({ x: 10, y: -1 }, { x: 10, y: 11 }, [outline, hole])
    expect(p.map((q) => [q.from, q.to])).toEqual([[1, 5], [7, 11]])
  })
  test('a bead cut at a slant is wider', () => {
    const s = { points: new Float32Array([0, 0, 10, 10]), start: Uint32Array.from([0, 2]), width: new Float32Array([1, 1]), group: Uint32Array.from([0]), ranges: [[0, 1]] }
    const [b] = cutBeads({ x: 5, y: -5 }, { x: 5, y: 15 }, s as never, 0)
    expect(b!.at).toBeCloseTo(10, 9)
    expect(b!.width).toBeCloseTo(Math.SQRT2, 6)
  })
  test('the cut goes across the longer side', () => {
    const [a, b] = bestCut([0, 0, 100, 10])
    expect(a.x).toBe(b.x)
    const [c, d] = bestCut([0, 0, 10, 100])
    expect(c.y).toBe(d.y)
  })
})

describe('layers', () => {
  const part = { stack: { covers_bottom: 1, covers_top: 1, composite: 3, order: ['a', 'b', 'a'], plastic_layer_mm: 0.2, composite_layer_mm: 0.3 } } as never
  test('as planned, bottom to top', () => {
    const all = planned(part)
    expect(all.map((l) => l.family)).toEqual([undefined, 'a', 'b', 'a', undefined])
    expect(all.at(-1)!.top_mm).toBeCloseTo(1.3, 12)
    expect(orderOf(all)).toEqual(['a', 'b', 'a'])
    expect(alike(all, planned(part))).toBe(true)
    expect(alike(all, all.slice(1))).toBe(false)
  })
  test('one is moved to the place of another', () => {
    expect(shifted(['a', 'b', 'c'], 0, 2)).toEqual(['b', 'c', 'a'])
    expect(shifted(['a', 'b', 'c'], 2, 0)).toEqual(['c', 'a', 'b'])
  })
})

describe('axes', () => {
  test.each([
    [[0, 1], 5],
    [[-3, 12.2], 5],
    [[5, 5], 4],
    [[1e-9, 2e-9], 6],
    [[Number.NaN], 5],
  ])('%j is bounded by round figures', (values, n) => {
    const a = ticks(values as number[], n as number)
    expect(a.hi).toBeGreaterThan(a.lo)
    expect(a.at.length).toBeGreaterThanOrEqual(2)
    expect(a.at.length).toBeLessThan(14)
    for (const v of (values as number[]).filter((x) => Number.isFinite(x))) {
      expect(v).toBeGreaterThanOrEqual(a.lo - 1e-12)
      expect(v).toBeLessThanOrEqual(a.hi + 1e-12)
    }
  })
})
