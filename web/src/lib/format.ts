/** Figures as they stand on the sheet: significant digits, thin gaps, units. */

const narrow = '\u202f' // thin gap between thousands and before units
const minus = '\u2212'

/** number writes v with the given significant digits, thousands apart; whole numbers stay whole. */
export function number(v: number, digits = 3): string {
  if (Number.isNaN(v)) return '–'
  if (!Number.isFinite(v)) return v > 0 ? '∞' : `${minus}∞`
  if (v === 0) return '0'
  const size = Math.abs(v)
  if (size >= 1e7 || size < 1e-4) return power(v, digits)
  const decimals = Number.isInteger(v) ? 0 : Math.max(0, digits - 1 - Math.floor(Math.log10(size)))
  const text = size.toFixed(Math.min(decimals, 12))
  const [whole = '', part] = text.split('.')
  const grouped = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, narrow) : whole
  return (v < 0 ? minus : '') + (part ? `${grouped}.${part}` : grouped)
}

function power(v: number, digits: number): string {
  const [mantissa = '', exponent = '0'] = Math.abs(v).toExponential(digits - 1).split('e')
  const raised = [...String(Number(exponent))].map((c) => (c === '-' ? '⁻' : '⁰¹²³⁴⁵⁶⁷⁸⁹'[Number(c)])).join('')
  return `${v < 0 ? minus : ''}${mantissa}·10${raised}`
}

/** withUnit writes a figure and its unit. */
export function withUnit(v: number, unit: string, digits = 3): string {
  return unit ? `${number(v, digits)}${narrow}${unit}` : number(v, digits)
}

/** percent writes a share. */
export function percent(share: number, digits = 3): string {
  return withUnit(100 * share, '%', digits)
}

/** reserve writes a reserve factor as the dossier does: cut off after two places (one from ten on), never rounded up. */
export function reserve(v: number | undefined): string {
  if (v === undefined || Number.isNaN(v)) return '–'
  if (v >= 100) return '≥ 100'
  const places = v < 10 ? 2 : 1
  return (Math.floor(v * 10 ** places + 1e-9) / 10 ** places).toFixed(places)
}

/** duration writes seconds as a person would say them. */
export function duration(s: number): string {
  if (!Number.isFinite(s) || s < 0) return '–'
  if (s < 1) return `${Math.max(1, Math.round(1000 * s))}${narrow}ms`
  if (s < 90) return `${number(s, s < 10 ? 2 : 3)}${narrow}s`
  const min = Math.round(s / 60)
  if (min < 120) return `${min}${narrow}min`
  return `${Math.floor(min / 60)}${narrow}h ${String(min % 60).padStart(2, '0')}${narrow}min`
}

/** bytes writes a size of data. */
export function bytes(n: number): string {
  if (n < 1000) return `${n}${narrow}B`
  if (n < 1e6) return `${number(n / 1e3, 3)}${narrow}kB`
  return `${number(n / 1e6, 3)}${narrow}MB`
}

/** fixed writes so many places, and what rounds to nothing without a sign. */
export function fixed(v: number, places: number): string {
  const text = Math.abs(v).toFixed(places)
  return v < 0 && Number(text) !== 0 ? minus + text : text
}

/** place writes a point of the part. */
export function place(x: number, y: number): string {
  return `(${fixed(x, 1)}, ${fixed(y, 1)})`
}
