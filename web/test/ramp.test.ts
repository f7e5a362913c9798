import { describe, expect, test } from 'vitest'
import { amount, balance, colourAt, families, familiesDark, glow, hex, oklab, plastics, plasticsDark, reserve, swatches, table, type RGB } from '../src/lib/ramp'

const lightness = (c: RGB) => oklab(c)[0]

describe('ramps', () => {
  test.each([amount, glow])('$name runs one way in lightness', (ramp) => {
    const l = Array.from({ length: 65 }, (_, i) => lightness(colourAt(ramp, i / 64)))
    const sign = Math.sign(l[64]! - l[0]!)
    for (let i = 1; i < l.length; i++) expect(sign * (l[i]! - l[i - 1]!)).toBeGreaterThan(0)
    expect(Math.abs(l[64]! - l[0]!)).toBeGreaterThan(0.5)
  })

  test.each([balance, reserve])('$name is palest in the middle and darkens to both sides', (ramp) => {
    for (let i = 1; i <= 32; i++) {
      for (const side of [-1, 1]) {
        const outer = lightness(colourAt(ramp, 0.5 + (side * i) / 64))
        const inner = lightness(colourAt(ramp, 0.5 + (side * (i - 1)) / 64))
        expect(outer).toBeLessThan(inner)
      }
    }
  })

  // Machado, Oliveira, Fernandes, "A physiologically-based model for simulation
  // of color vision deficiency", 2009, matrices at severity 1.0, from memory.
  const blind = {
    protan: [0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998],
    deutan: [0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.01182, 0.04294, 0.968881],
    tritan: [1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.3039],
  }
  const linear = (c: number) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4)
  const encoded = (c: number) => (c <= 0.0031308 ? 12.92 * c : 1.055 * c ** (1 / 2.4) - 0.055)
  function seen(m: number[], c: RGB): RGB {
    const l = c.map(linear)
    return [0, 3, 6].map((r) => encoded(Math.min(1, Math.max(0, m[r]! * l[0]! + m[r + 1]! * l[1]! + m[r + 2]! * l[2]!)))) as unknown as RGB
  }

  test.each(Object.keys(blind) as (keyof typeof blind)[])('the two sides of a diverging ramp differ for %s eyes', (kind) => {
    for (const ramp of [balance, reserve]) {
      const [a, b] = [oklab(seen(blind[kind], colourAt(ramp, 0.12))), oklab(seen(blind[kind], colourAt(ramp, 0.88)))]
      expect(Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])).toBeGreaterThan(0.06)
    }
  })

  test.each([families, familiesDark])('the first six families tell apart from their neighbours', (...list) => {
    for (let i = 1; i < 6; i++) {
      const [a, b] = [oklab(hex(list[i - 1] as string)), oklab(hex(list[i] as string))]
      expect(Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])).toBeGreaterThan(0.08)
    }
  })

  test.each([
    ['light', plastics, families],
    ['dark', plasticsDark, familiesDark],
  ])('kinds of plastic tell apart from each other and from the families, %s', (_, plastic, family) => {
    const lab = (c: string) => oklab(hex(c))
    const apart = (a: string, b: string) => Math.hypot(...lab(a).map((v, i) => v - lab(b)[i]!))
    for (let i = 0; i < 7; i++) {
      for (let k = 0; k < i; k++) expect(apart(plastic[i]!, plastic[k]!)).toBeGreaterThan(0.03)
      for (const f of family.slice(0, 6)) expect(apart(plastic[i]!, f)).toBeGreaterThan(0.06)
    }
  })

  test('swatches are texels of the colours', () => expect([...swatches(['#010203', '#ff0000'])]).toEqual([1, 2, 3, 255, 255, 0, 0, 255]))

  test('a table begins and ends with the ramp', () => {
    const t = table(amount, 16)
    expect([...t.slice(0, 3)]).toEqual([0xe6, 0xdf, 0xbd])
    expect([...t.slice(60, 63)]).toEqual([0x1d, 0x2f, 0x55])
  })
})
