import { describe, expect, test } from 'vitest'
import type { Pack } from '../src/lib/binary'
import { filmOf, frameAt, laidPaths } from '../src/play/playing.svelte'

// two beads of layer 0, a travel between them, one bead of layer 1
const rows = [
  { start: 0, end: 1, from: [0, 0, 0.3], to: [1, 0, 0.3], layer: 0, width: 1, activity: 1, tool: 1 },
  { start: 1, end: 2, from: [1, 0, 0.3], to: [1, 1, 0.3], layer: 0, width: 1, activity: 1, tool: 1 },
  { start: 2, end: 3, from: [1, 1, 1], to: [5, 5, 1], layer: 0, width: 0, activity: 0, tool: 1 },
  { start: 3, end: 4, from: [5, 5, 0.3], to: [6, 5, 0.3], layer: 0, width: 0.5, activity: 1, tool: 0 },
  { start: 4, end: 5, from: [6, 5, 0.6], to: [7, 5, 0.6], layer: 1, width: 0.5, activity: 1, tool: 0 },
]

function part(list: typeof rows): Pack {
  const flat = (k: keyof (typeof rows)[number]) => list.flatMap((r) => r[k] as number | number[])
  return {
    kind: 'playback',
    meta: { activities: ['travel', 'lay'], tools: ['plastic', 'composite'], total_s: 5 },
    has: () => true,
    f32: (n) => new Float32Array(n === 'feed' || n === 'temperature' ? list.map(() => 20) : flat(n as never)),
    u32: (n) => new Uint32Array(n === 'line' ? list.map((_, i) => i) : flat(n as never)),
    u8: (n) => new Uint8Array(flat(n as never)),
  }
}

describe('a program as film', () => {
  const film = filmOf([part(rows.slice(0, 2)), part(rows.slice(2))])
  test('parts are joined in order', () => {
    expect([...film.start]).toEqual([0, 1, 2, 3, 4])
    expect(film.from).toHaveLength(15)
    expect(film.total).toBe(5)
  })
  test.each([
    [0, 0],
    [0.99, 0],
    [1, 1],
    [3.5, 3],
    [99, 4],
  ])('at %d s the stretch is %d', (t, want) => expect(frameAt(film, t)).toBe(want))
  test('what a layer lays, path by path, and how much of it by each stretch', () => {
    const p = laidPaths(film, 0)
    expect([...p.start]).toEqual([0, 3, 5])
    expect([...p.points]).toEqual([0, 0, 1, 0, 1, 1, 5, 5, 6, 5])
    expect([...p.values]).toEqual([1, 1, 1, 0, 0])
    expect([...film.pieces]).toEqual([1, 2, 3, 4, 5])
    expect([...laidPaths(film, 1).start]).toEqual([0, 2])
  })
})
