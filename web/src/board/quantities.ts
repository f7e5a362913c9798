import type { FieldInfo } from '../api/types'
import { amount, balance, glow, reserve, type Ramp } from '../lib/ramp'
import { lowHigh } from './meshdata'

/**
 * Quantity is what the board can colour a surface by: a field of the server,
 * or the reserve factor that belongs to a failure index.
 */
export interface Quantity {
  id: string
  title: string
  unit: string
  /** The server's field it comes from. */
  field: string
  diverges: boolean
  needs: readonly string[]
  /** Reserve factors are one over their index. */
  inverse: boolean
}

/** quantities lists what is there, reserve factors first. */
export function quantities(fields: readonly FieldInfo[]): Quantity[] {
  const plain = fields.map((f) => ({ id: f.id, title: f.title, unit: f.unit.startsWith('1') ? '' : f.unit, field: f.id, diverges: f.diverges, needs: f.needs ?? [], inverse: false }))
  const inverse = plain
    .filter((q) => q.id.startsWith('index.'))
    .map((q) => ({ ...q, id: `reserve.${q.id.slice(6)}`, title: `reserve factor, ${wording[q.id.slice(6)] ?? q.id.slice(6)}`, unit: '', inverse: true }))
  return [...inverse, ...plain]
}

const wording: Record<string, string> = { worst: 'least of all modes', fibre: 'fibre failure', matrix: 'matrix failure' }

/** Shade is a field made ready for painting: values, colours, and where they end. */
export interface Shade {
  quantity: Quantity
  values: Float32Array
  /** What is painted: the values, or their logarithm where ratios matter. */
  painted: Float32Array
  lo: number
  hi: number
  /** The scale's two ends and its middle, as values. */
  ends: readonly [number, number, number]
  least: number
  greatest: number
  ramp: Ramp
}

/** Beyond this share of the corners at either end, colours stop telling values apart: a peak in a corner must not grey out the rest. */
const outliers = 0.002
/** Indices above this all look hopeless. */
const hopeless = 3
/** Reserve factors from one over this up to it are told apart, in equal steps of ratio. */
const ample = 4

/** shadeOf turns a field's values into what the quantity shows. */
export function shadeOf(q: Quantity, raw: Float32Array, dark: boolean): Shade {
  const values = q.inverse ? raw.map((v) => 1 / Math.max(v, 1e-6)) : raw
  const [least, greatest] = lowHigh(values)
  let [lo, hi] = lowHigh(values, outliers)
  if (!(hi > lo)) [lo, hi] = [least, greatest > least ? greatest : least + 1]
  if (q.inverse) {
    const span = Math.log(ample)
    return { quantity: q, values, painted: values.map(Math.log), lo: -span, hi: span, ends: [1 / ample, 1, ample], least, greatest, ramp: reserve }
  }
  if (q.diverges) {
    const m = Math.max(Math.abs(lo), Math.abs(hi), 1e-30)
    return { quantity: q, values, painted: values, lo: -m, hi: m, ends: [-m, 0, m], least, greatest, ramp: balance }
  }
  if (q.id.startsWith('index.')) [lo, hi] = [0, Math.min(hopeless, Math.max(1, hi))]
  else if (lo > 0 && lo < 0.3 * hi) lo = 0
  return { quantity: q, values, painted: values, lo, hi, ends: [lo, (lo + hi) / 2, hi], least, greatest, ramp: dark ? glow : amount }
}
