/**
 * Reader of the server's binary views: "SNWV", the length of a JSON header,
 * the header, then arrays in little-endian order, each at a multiple of eight.
 */

export interface Pack {
  readonly kind: string
  readonly meta: Record<string, unknown>
  f32(name: string): Float32Array
  u32(name: string): Uint32Array
  u8(name: string): Uint8Array
  has(name: string): boolean
}

interface ArrayHead {
  name: string
  type: 'f32' | 'u32' | 'u8'
  items: number
  count: number
  offset: number
}

/** decode reads one view; it refuses what is cut short or no view at all. */
export function decode(data: ArrayBuffer): Pack {
  const view = new DataView(data)
  if (data.byteLength < 8 || view.getUint32(0, false) !== 0x534e5756) throw new Error('no view: it does not begin with SNWV')
  const head = view.getUint32(4, true)
  if (8 + head > data.byteLength) throw new Error('view is cut short in its header')
  const meta = JSON.parse(new TextDecoder().decode(new Uint8Array(data, 8, head))) as { kind: string; arrays: ArrayHead[] | null }
  const heads = new Map((meta.arrays ?? []).map((a) => [a.name, a]))
  const find = (name: string, type: ArrayHead['type'], size: number): [number, number] => {
    const h = heads.get(name)
    if (!h) throw new Error(`view ${meta.kind} has no ${name}`)
    if (h.type !== type) throw new Error(`view ${meta.kind}: ${name} is ${h.type}, not ${type}`)
    const at = 8 + head + h.offset
    if (at + size * h.items * h.count > data.byteLength) throw new Error(`view ${meta.kind} is cut short in ${name}`)
    return [at, h.items * h.count]
  }
  return {
    kind: meta.kind,
    meta: meta as unknown as Record<string, unknown>,
    f32: (name) => new Float32Array(data, ...find(name, 'f32', 4)),
    u32: (name) => new Uint32Array(data, ...find(name, 'u32', 4)),
    u8: (name) => new Uint8Array(data, ...find(name, 'u8', 1)),
    has: (name) => heads.has(name),
  }
}
