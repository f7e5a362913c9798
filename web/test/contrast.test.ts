import style from '../src/style/page.css?raw'
import { describe, expect, test } from 'vitest'
import { hex } from '../src/lib/ramp'

// WCAG 2.2, relative luminance and success criterion 1.4.3: 4.5 to 1 for text.

function inks(selector: string): Map<string, string> {
  const from = style.indexOf(selector)
  const block = style.slice(from, style.indexOf('}', from))
  return new Map([...block.matchAll(/--([a-z-]+): (#[0-9a-f]{6})/g)].map((m) => [m[1]!, m[2]!]))
}

function luminance(colour: string): number {
  const [r, g, b] = hex(colour).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
  return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!
}

function contrast(a: string, b: string): number {
  const [hi, lo] = [luminance(a), luminance(b)].sort((x, y) => y - x)
  return (hi! + 0.05) / (lo! + 0.05)
}

describe.each([
  ['light', ':root {'],
  ['dark', ":root[data-light='dark']"],
])('%s page', (_, selector) => {
  const set = inks(selector)
  const grounds = ['paper', 'leaf', 'board']
  const text = ['ink', 'soft', 'pencil', 'red', 'green', 'amber']
  test.each(grounds.flatMap((g) => text.map((t) => [t, g] as const)))('%s on %s reads', (t, g) => {
    expect(contrast(set.get(t)!, set.get(g)!)).toBeGreaterThanOrEqual(4.5)
  })
  test.each([
    ['red', 'red-wash'],
    ['pencil', 'pencil-wash'],
    ['ink', 'pencil-wash'],
    ['paper', 'pencil'],
    ['soft', 'shade'],
    ['ink', 'plastic'],
    ['ink', 'body'],
  ])('%s on %s reads', (t, g) => {
    expect(contrast(set.get(t)!, set.get(g)!)).toBeGreaterThanOrEqual(4.5)
  })
  test('lines of controls stand out from the page (1.4.11: 3 to 1)', () => {
    for (const g of grounds) expect(contrast(set.get('rule-strong')!, set.get(g)!)).toBeGreaterThanOrEqual(3)
  })
})
