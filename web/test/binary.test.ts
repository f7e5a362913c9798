import { describe, expect, test } from 'vitest'
import { decode } from '../src/lib/binary'

function view(header: object, data: Uint8Array): ArrayBuffer {
  let text = JSON.stringify(header)
  while ((8 + text.length) % 8) text += ' '
  const out = new Uint8Array(8 + text.length + data.length)
  out.set(new TextEncoder().encode('SNWV'))
  new DataView(out.buffer).setUint32(4, text.length, true)
  out.set(new TextEncoder().encode(text), 8)
  out.set(data, 8 + text.length)
  return out.buffer
}

const floats = new Uint8Array(new Float32Array([1, 2, 3, 4]).buffer)
const head = { kind: 'mesh', arrays: [{ name: 'nodes', type: 'f32', items: 2, count: 2, offset: 0 }], unit: 'mm' }

describe('binary views', () => {
  test('arrays and meta come out as they went in', () => {
    const p = decode(view(head, floats))
    expect(p.kind).toBe('mesh')
    expect(p.meta['unit']).toBe('mm')
    expect([...p.f32('nodes')]).toEqual([1, 2, 3, 4])
    expect(p.has('other')).toBe(false)
  })
  test.each([
    ['no view at all', () => decode(new ArrayBuffer(16)), 'SNWV'],
    ['too short', () => decode(new ArrayBuffer(3)), 'SNWV'],
    ['header cut short', () => decode(view(head, floats).slice(0, 20)), 'cut short'],
    ['data cut short', () => decode(view(head, floats.slice(0, 8))).f32('nodes'), 'cut short'],
    ['a name that is not there', () => decode(view(head, floats)).f32('tris'), 'has no tris'],
    ['another type', () => decode(view(head, floats)).u32('nodes'), 'is f32'],
  ])('%s is refused', (_, f, want) => {
    expect(f).toThrow(want)
  })
})
