import { describe, expect, test } from 'vitest'
import { bytes, duration, fixed, number, percent, place, reserve, withUnit } from '../src/lib/format'
import { faultsAt, steps, tablesAt, textAt, valueAt } from '../src/lib/keys'
import { lines } from '../src/lib/diff'
import { angleText, forceText } from '../src/sheet/wording'

describe('figures', () => {
  test.each([
    [0, '0'],
    [1.2345, '1.23'],
    [-42983.8, '−42 984'],
    [1000, '1000'],
    [0.0123456, '0.0123'],
    [6.49e-14, '6.49·10⁻¹⁴'],
    [12345678, '1.23·10⁷'],
    [Number.NaN, '–'],
    [Number.POSITIVE_INFINITY, '∞'],
  ])('%d is written %s', (v, want) => {
    expect(number(v).replaceAll('\u202f', ' ')).toBe(want)
  })

  test.each([
    [0.9999, '0.99'], // short of one is never shown as one
    [1, '1.00'],
    [1.326, '1.32'],
    [12.34, '12.3'],
    [99.96, '99.9'],
    [250, '≥ 100'],
    [undefined, '–'],
  ])('a reserve factor of %d is %s', (v, want) => {
    expect(reserve(v)).toBe(want)
  })

  test.each([
    [0.004, '4 ms'],
    [2.34, '2.3 s'],
    [5585, '93 min'],
    [9000, '2 h 30 min'],
  ])('%d seconds are %s', (v, want) => {
    expect(duration(v).replaceAll('\u202f', ' ')).toBe(want)
  })

  test('units, shares, sizes, places', () => {
    expect(withUnit(3.2, 'mm')).toBe('3.20\u202fmm')
    expect(percent(0.178)).toBe('17.8\u202f%')
    expect(bytes(1631287)).toBe('1.63\u202fMB')
    expect(place(-1.25, 3)).toBe('(−1.3, 3.0)')
    expect(place(-0.04, -0)).toBe('(0.0, 0.0)')
    expect(fixed(-0.004, 2)).toBe('0.00')
    expect(fixed(-0.006, 2)).toBe('−0.01')
  })

  test.each([
    [1234, '1.23 kN'],
    [480.4, '480 N'],
    [0.5, '0.5 N'],
  ])('a force of %d N is %s', (v, want) => {
    expect(forceText(v)).toBe(want)
  })

  test.each([
    [370, '10 °'],
    [-180, '180 °'],
    [540.2, '180 °'],
    [44.8, '45 °'],
  ])('an angle of %d is %s', (v, want) => {
    expect(angleText(v)).toBe(want)
  })
})

describe('keys of the job file', () => {
  const doc = { name: 'plate', case: [{ name: 'a', load: [{ force: '1 kN' }, { force: '2 kN' }] }], part: { near: ['1 mm', '2 mm'] } }
  test('steps', () => expect(steps('case[0].load[12].force')).toEqual(['case', 0, 'load', 12, 'force']))
  test.each([
    ['name', 'plate'],
    ['case[0].load[1].force', '2 kN'],
    ['part.near', '1 mm, 2 mm'],
    ['case[3].name', ''],
    ['part', ''],
  ])('%s reads %s', (key, want) => expect(textAt(doc, key)).toBe(want))
  test('nothing in nothing', () => expect(valueAt(null, 'a.b')).toBeUndefined())
  test('tables', () => expect(tablesAt(doc, 'case[0].load')).toHaveLength(2))
  test('faults of a key and of what is under it', () => {
    const faults = [{ key: 'case[0]', what: 'x' }, { key: 'case[0].name', what: 'y' }, { key: 'case[01]', what: 'z' }]
    expect(faultsAt(faults, 'case[0]').map((f) => f.what)).toEqual(['x'])
    expect(faultsAt(faults, 'case[0]', true).map((f) => f.what)).toEqual(['x', 'y'])
  })
})

describe('differences of two texts', () => {
  test('a changed line, with one around it', () => {
    const got = lines('a\nb\nc\nd\ne', 'a\nb\nX\nd\ne')
    expect(got.map((l) => `${l.kind} ${l.text}`)).toEqual(['same b', 'out c', 'in X', 'same d', 'gap …'])
  })
  test('what is taken out and put in gives one text from the other', () => {
    let seed = 7
    const next = (n: number) => (seed = (seed * 1103515245 + 12345) % 2147483648) % n
    for (let k = 0; k < 200; k++) {
      const text = () => Array.from({ length: next(12) }, () => 'abc'[next(3)]).join('\n')
      const [a, b] = [text(), text()]
      const all = lines(a, b, 99)
      expect(all.filter((l) => l.kind !== 'in').map((l) => l.text).join('\n')).toBe(a)
      expect(all.filter((l) => l.kind !== 'out').map((l) => l.text).join('\n')).toBe(b)
    }
  })
})
