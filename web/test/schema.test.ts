import { describe, expect, test } from 'vitest'
import schema from '../../docs/schema/job.schema.json'
import { keysOf, type Node } from '../src/sheet/schema'

describe('keys from the schema of the job file', () => {
  const root = schema as unknown as Node
  test('quantities, choices, numbers, lists and tables are told apart', () => {
    const judge = keysOf(root, 'judge')
    expect(judge.find((k) => k.key === 'judge.criterion')).toMatchObject({ kind: 'choice', choices: expect.arrayContaining(['hashin']) })
    expect(judge.find((k) => k.key === 'judge.radius')).toMatchObject({ kind: 'text', empty: '1 mm' })
    expect(judge.find((k) => k.key === 'judge.collapse')).toMatchObject({ kind: 'yes', empty: 'false' })
    expect(keysOf(root, 'layup.refine').find((k) => k.key === 'layup.refine.steps')).toMatchObject({ kind: 'number', empty: '20' })
    expect(keysOf(root, 'compare').find((k) => k.key === 'compare.metals')).toMatchObject({ kind: 'list' })
    const layup = keysOf(root, 'layup').map((k) => k.key)
    expect(layup).toContain('layup.walls')
    expect(layup).not.toContain('layup.family')
    expect(layup).not.toContain('layup.covers')
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
