import { describe, expect, test } from 'vitest'
import schema from '../../docs/schema/job.schema.json'
import { keysOf, newTable, type Node } from '../src/sheet/schema'

describe('keys from the schema of the job file', () => {
  const root = schema as unknown as Node
  test('quantities, choices, numbers, lists and tables are told apart', () => {
    const judge = keysOf(root, 'judge')
    expect(judge.find((k) => k.key === 'judge.criterion')).toMatchObject({ kind: 'choice', choices: expect.arrayContaining(['hashin']) })
    expect(judge.find((k) => k.key === 'judge.radius')).toMatchObject({ kind: 'text', empty: '1 mm' })
    expect(judge.find((k) => k.key === 'judge.collapse')).toMatchObject({ kind: 'yes', empty: 'false' })
    expect(keysOf(root, 'layup.refine').find((k) => k.key === 'layup.refine.steps')).toMatchObject({ kind: 'number', empty: '20' })
    expect(keysOf(root, 'compare').find((k) => k.key === 'compare.metals')).toMatchObject({ kind: 'list' })
    const layup = keysOf(root, 'layup')
    expect(layup.find((k) => k.key === 'layup.walls')).toMatchObject({ kind: 'number' })
    expect(layup.find((k) => k.key === 'layup.family')).toMatchObject({ kind: 'tables' })
    expect(layup.find((k) => k.key === 'layup.covers')).toMatchObject({ kind: 'table' })
    expect(keysOf(root, 'case.load').find((k) => k.key === 'case.load.at')).toMatchObject({ kind: 'feature' })
  })
  test('the file itself, and tables in one of a list', () => {
    expect(keysOf(root, '').find((k) => k.key === 'feature')).toMatchObject({ kind: 'tables', path: 'feature' })
    expect(keysOf(root, 'case', [], 'case[1]').find((k) => k.name === 'Point')).toMatchObject({ kind: 'tables', key: 'case[1].point', path: 'case.point' })
    expect(keysOf(root, 'case', [], 'case[1]').find((k) => k.name === 'Spin')).toMatchObject({ kind: 'table', key: 'case[1].spin' })
  })
  test('a new table holds what the schema asks for, else its first key', () => {
    const near = { feature: 'pin', x: 12.3456, y: -4 }
    expect(newTable(root, 'case.point', near)).toEqual({ at: ['12.346 mm', '-4 mm'], force: expect.stringMatching(/N$/) })
    expect(newTable(root, 'case.spin', near)).toEqual({ rpm: 1 })
    expect(newTable(root, 'layup.covers.region', near)).toEqual({ at: 'pin', within: expect.stringMatching(/mm$/) })
    expect(newTable(root, 'analysis.foundation', near)).toEqual({ pressure: expect.stringMatching(/MPa$/), sinks: expect.stringMatching(/mm$/) })
    expect(newTable(root, 'feature.hole', near)).toEqual({ near: ['12.346 mm', '-4 mm'] })
  })
  test('one of a list of tables', () => {
    const family = keysOf(root, 'layup.family', ['name'], 'layup.family[2]')
    expect(family.find((k) => k.key === 'layup.family[2].turns')).toMatchObject({ kind: 'number', empty: '3' })
    expect(family.some((k) => k.key.endsWith('.name'))).toBe(false)
  })
  test('skipped keys, unknown tables and no schema give nothing', () => {
    expect(keysOf(root, 'judge', ['radius']).some((k) => k.key === 'judge.radius')).toBe(false)
    expect(keysOf(root, 'nowhere')).toEqual([])
    expect(keysOf(null, 'judge')).toEqual([])
  })
})
