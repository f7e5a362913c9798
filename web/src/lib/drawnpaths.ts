import type { Value } from '../api/types'
import { distance, type Point } from './geom'

/** Strands drawn by hand, between the job file's text and the board's points. */

export interface HandPath {
  points: Point[]
  closed: boolean
}

/** millimetres reads "12 mm", "1.2 cm", "0.5 in"; the job file holds lengths as text. */
export function millimetres(text: string): number | undefined {
  const m = /^\s*([+-]?\d+(?:\.\d+)?(?:e[+-]?\d+)?)\s*(mm|cm|m|in|µm|um)\s*$/i.exec(text.replace('−', '-'))
  if (!m) return undefined
  const factor = { mm: 1, cm: 10, m: 1000, in: 25.4, 'µm': 0.001, um: 0.001 }[m[2]!.toLowerCase()]
  return factor === undefined ? undefined : Number(m[1]) * factor
}

/** pathsOf reads the value of a drawn family's paths; what is no path is left out. */
export function pathsOf(value: Value | undefined): HandPath[] {
  if (!Array.isArray(value)) return []
  return value.map((path) => {
    const points: Point[] = []
    for (const at of Array.isArray(path) ? path : []) {
      if (!Array.isArray(at)) continue
      const [x, y] = [millimetres(String(at[0])), millimetres(String(at[1]))]
      if (x !== undefined && y !== undefined) points.push({ x, y })
    }
    const closed = points.length > 3 && distance(points[0]!, points.at(-1)!) < 1e-6
    return { points: closed ? points.slice(0, -1) : points, closed }
  })
}

function length(v: number): string {
  return `${Number(v.toFixed(3))} mm`
}

/** valueOf writes paths as the job file has them. */
export function valueOf(paths: readonly HandPath[]): Value {
  return paths.map((p) => [...p.points, ...(p.closed && p.points[0] ? [p.points[0]] : [])].map((q) => [length(q.x), length(q.y)]))
}

/** ring is a closed strand around a hole, clear of its rim. */
export function ring(x: number, y: number, radius: number, clear: number): HandPath {
  const r = radius + clear
  const n = Math.max(16, Math.ceil(2 * Math.PI * r / 2))
  const points = Array.from({ length: n }, (_, i) => ({ x: x + r * Math.cos((2 * Math.PI * i) / n), y: y + r * Math.sin((2 * Math.PI * i) / n) }))
  return { points, closed: true }
}

/**
 * around leads an open strand on round a hole: from where it stands along the
 * tangent, half-way or more round, ready to leave on the far side.
 */
export function around(from: Point, x: number, y: number, radius: number, clear: number): Point[] {
  const r = radius + clear
  const d = Math.hypot(from.x - x, from.y - y)
  if (d <= r) return []
  const toward = Math.atan2(from.y - y, from.x - x)
  const lean = Math.acos(r / d)
  const start = toward + lean
  const sweep = 2 * Math.PI - 2 * lean
  const n = Math.max(6, Math.ceil((sweep * r) / 2))
  return Array.from({ length: n + 1 }, (_, i) => {
    const a = start + (sweep * i) / n
    return { x: x + r * Math.cos(a), y: y + r * Math.sin(a) }
  })
}

/** pathLength adds a path up, mm. */
export function pathLength(p: HandPath): number {
  let sum = 0
  for (let i = 1; i < p.points.length; i++) sum += distance(p.points[i - 1]!, p.points[i]!)
  if (p.closed && p.points.length > 1) sum += distance(p.points.at(-1)!, p.points[0]!)
  return sum
}
