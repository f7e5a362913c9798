/**
 * From the server's six-node triangles to what the board paints. A side whose
 * middle lies off its chord by more than a hair is drawn in two pieces; a
 * triangle with such a side becomes four.
 */

/** sag is how far, mm, a mid-side may lie off its chord before it counts as curved. */
const sag = 0.002

export interface MeshData {
  /** Six nodes a triangle: corners 0 1 2, mid-sides of 01, 12, 20. */
  readonly nodes: Float32Array
  readonly triangles: Uint32Array
  /** For each painted corner: the node it stands on. */
  readonly painted: Uint32Array
  /** For each painted corner: three times the triangle, plus where it lies: 0–2 a corner, 3–5 a mid-side. */
  readonly owner: Uint32Array
  readonly place: Uint8Array
}

const pieces = [
  [0, 3, 5],
  [3, 1, 4],
  [5, 4, 2],
  [3, 4, 5],
] as const

/** prepare splits curved triangles and lists the corners to paint. */
export function prepare(nodes: Float32Array, triangles: Uint32Array): MeshData {
  const n = triangles.length / 6
  const curved = new Uint8Array(n)
  let total = 0
  for (let t = 0; t < n; t++) {
    for (let k = 0; k < 3; k++) {
      const [a, b, m] = [triangles[6 * t + k]!, triangles[6 * t + ((k + 1) % 3)]!, triangles[6 * t + 3 + k]!]
      const dx = nodes[2 * m]! - (nodes[2 * a]! + nodes[2 * b]!) / 2
      const dy = nodes[2 * m + 1]! - (nodes[2 * a + 1]! + nodes[2 * b + 1]!) / 2
      if (Math.hypot(dx, dy) > sag) curved[t] = 1
    }
    total += curved[t] ? 12 : 3
  }
  const painted = new Uint32Array(total)
  const owner = new Uint32Array(total)
  const place = new Uint8Array(total)
  let at = 0
  const put = (t: number, k: number): void => {
    painted[at] = triangles[6 * t + k]!
    owner[at] = t
    place[at++] = k
  }
  for (let t = 0; t < n; t++) {
    if (curved[t]) for (const p of pieces) for (const k of p) put(t, k)
    else for (let k = 0; k < 3; k++) put(t, k)
  }
  return { nodes, triangles, painted, owner, place }
}

/** corners gives the painted corners' coordinates. */
export function corners(m: MeshData): Float32Array {
  return perNode(m, m.nodes, 2)
}

/** perNode spreads what each node has over the painted corners. */
export function perNode(m: MeshData, data: Float32Array, items: number): Float32Array {
  const out = new Float32Array(m.painted.length * items)
  for (let i = 0; i < m.painted.length; i++) for (let k = 0; k < items; k++) out[items * i + k] = data[items * m.painted[i]! + k]!
  return out
}

/** perCorner spreads three values a triangle over the painted corners; a mid-side takes the mean of its ends, NaN becomes the given mark. */
export function perCorner(m: MeshData, values: Float32Array, mark: number): Float32Array {
  const out = new Float32Array(m.painted.length)
  for (let i = 0; i < out.length; i++) {
    const t = 3 * m.owner[i]!
    const k = m.place[i]!
    const v = k < 3 ? values[t + k]! : (values[t + k - 3]! + values[t + ((k - 2) % 3)]!) / 2
    out[i] = Number.isNaN(v) ? mark : v
  }
  return out
}

/** sides lists the mesh's lines once each, as node pairs; curved ones in two pieces. */
export function sides(m: MeshData): Uint32Array {
  const seen = new Set<number>()
  const out: number[] = []
  const count = m.nodes.length / 2
  const n = m.triangles.length / 6
  for (let t = 0; t < n; t++) {
    for (let k = 0; k < 3; k++) {
      const [a, b, mid] = [m.triangles[6 * t + k]!, m.triangles[6 * t + ((k + 1) % 3)]!, m.triangles[6 * t + 3 + k]!]
      const id = Math.min(a, b) * count + Math.max(a, b)
      if (seen.has(id)) continue
      seen.add(id)
      out.push(a, mid, mid, b)
    }
  }
  return Uint32Array.from(out)
}

/** Counting in this many steps bounds values finely enough for colours. */
const steps = 4096

/**
 * lowHigh bounds values, leaving NaN aside; with trim, also that share of
 * values at either end, to the nearest of a few thousand steps.
 */
export function lowHigh(values: Float32Array, trim = 0): [number, number] {
  let [lo, hi, n] = [Infinity, -Infinity, 0]
  for (let i = 0; i < values.length; i++) {
    const v = values[i]!
    if (Number.isNaN(v)) continue
    if (v < lo) lo = v
    if (v > hi) hi = v
    n++
  }
  if (n === 0) return [0, 1]
  if (trim <= 0 || !(hi > lo)) return [lo, hi]
  for (let pass = 0; pass < 3 && hi > lo; pass++) [lo, hi] = nearer(values, lo, hi, trim * n)
  return [lo, hi]
}

/** nearer moves bounds in by whole steps, as long as no more than the given number of values lies beyond each. */
function nearer(values: Float32Array, lo: number, hi: number, cut: number): [number, number] {
  const count = new Uint32Array(steps)
  const scale = (steps - 1) / (hi - lo)
  let [below, above] = [0, 0]
  for (let i = 0; i < values.length; i++) {
    const v = values[i]!
    if (v < lo) below++
    else if (v > hi) above++
    else if (v >= lo) count[Math.floor((v - lo) * scale)]!++
  }
  let [a, b] = [0, steps - 1]
  while (a < b && below + count[a]! <= cut) below += count[a++]!
  while (b > a && above + count[b]! <= cut) above += count[b--]!
  return [lo + a / scale, b === steps - 1 ? hi : lo + (b + 1) / scale]
}

/** cornerTriangles drops the mid-sides. */
export function cornerTriangles(triangles: Uint32Array): Uint32Array {
  const n = triangles.length / 6
  const out = new Uint32Array(3 * n)
  for (let t = 0; t < n; t++) for (let k = 0; k < 3; k++) out[3 * t + k] = triangles[6 * t + k]!
  return out
}
