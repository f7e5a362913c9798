import { niceStep } from '../lib/geom'

/** Axis is a range of round figures and the places to write them. */
export interface Axis {
  lo: number
  hi: number
  at: number[]
}

/** ticks bounds values by round figures, about n of them. */
export function ticks(values: readonly number[], n: number): Axis {
  let [lo, hi] = [Infinity, -Infinity]
  for (const v of values) {
    if (!Number.isFinite(v)) continue
    lo = Math.min(lo, v)
    hi = Math.max(hi, v)
  }
  if (lo > hi) [lo, hi] = [0, 1]
  if (hi - lo < 1e-12 * Math.max(1, Math.abs(hi))) [lo, hi] = [lo - Math.max(1e-9, 0.1 * Math.abs(lo)), hi + Math.max(1e-9, 0.1 * Math.abs(hi))]
  if (lo > 0 && lo < 0.35 * hi) lo = 0
  const step = niceStep(((hi - lo) / n) * 1.6)
  const first = Math.floor(lo / step + 1e-9)
  const last = Math.ceil(hi / step - 1e-9)
  const at: number[] = []
  for (let i = first; i <= last; i++) at.push(Number((i * step).toPrecision(12)))
  return { lo: first * step, hi: last * step, at }
}

/** path joins points by lines, broken where there is no value. */
export function path(s: { x: readonly number[]; y: readonly (number | null)[] }, px: (x: number) => number, py: (y: number) => number): string {
  let d = ''
  let pen = false
  for (let i = 0; i < s.x.length; i++) {
    const y = s.y[i]
    if (y === null || y === undefined || !Number.isFinite(y)) {
      pen = false
      continue
    }
    d += `${pen ? 'L' : 'M'}${px(s.x[i]!).toFixed(1)} ${py(y).toFixed(1)}`
    pen = true
  }
  return d
}
