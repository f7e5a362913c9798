/** Keys of the job file as its JSON Schema tells them, for entries that no section has written by hand. */

import type { Table, Value } from '../api/types'
import { steps } from '../lib/keys'
import { mmText } from './wording'

/** Node is as much of JSON Schema as the job file's needs. */
export interface Node {
  $ref?: string
  $defs?: Record<string, Node>
  type?: string
  enum?: string[]
  title?: string
  description?: string
  examples?: unknown[]
  properties?: Record<string, Node>
  required?: string[]
  items?: Node
  minItems?: number
}

/** Key is one value of a table, ready for an entry, or a table or a list of tables within it. */
export interface Key {
  key: string
  /** Where it stands in the schema, without the numbers of lists. */
  path: string
  name: string
  about: string
  kind: 'text' | 'number' | 'list' | 'choice' | 'yes' | 'feature' | 'table' | 'tables'
  choices: string[]
  /** What holds when it is left out, as far as its description says. */
  empty: string
}

function resolved(root: Node, n: Node | undefined): Node | undefined {
  if (!n?.$ref) return n
  const name = n.$ref.split('/').at(-1) ?? ''
  return { ...root.$defs?.[name], ...(n.description ? { description: n.description } : {}) }
}

const within = (table: string, name: string): string => (table ? `${table}.${name}` : name)

/** tableAt finds the schema of a table, or of the tables of a list, such as "layup.family". */
function tableAt(root: Node | null, table: string): Node | undefined {
  let n: Node | undefined = root ?? undefined
  for (const step of steps(table)) {
    n = root ? resolved(root, n?.properties?.[step]) : undefined
    if (root && n?.type === 'array') n = resolved(root, n.items)
  }
  return n
}

/**
 * keysOf lists the keys of a table, such as "judge" or "layup.family", in the
 * order of the schema; an empty table is the file itself. They stand under base, such as "layup.family[2]", where
 * that differs from the table's own name.
 */
export function keysOf(root: Node | null, table: string, skip: readonly string[] = [], base = table): Key[] {
  if (!root) return []
  return Object.entries(tableAt(root, table)?.properties ?? {}).flatMap(([name, raw]) => {
    const v = resolved(root, raw)
    const kind = v && kindOf(root, v)
    if (!v || !kind || skip.includes(name)) return []
    const about = v.description ?? ''
    return [{ key: within(base, name), path: within(table, name), name: words(name), about, kind, choices: v.enum ?? [], empty: defaultOf(about) }]
  })
}

/** Near is what a new table can begin with: a feature of the part, and a place on it. */
export interface Near {
  feature: string
  x: number
  y: number
}

/**
 * newTable makes a table that can stand: what its schema asks for, in the
 * schema's own examples; of one that asks for nothing its first key.
 */
export function newTable(root: Node | null, table: string, near: Near): Table {
  const n = tableAt(root, table)
  const all = Object.entries(n?.properties ?? {})
  const asked = all.filter(([name]) => n?.required?.includes(name))
  const out: Table = {}
  for (const [name, raw] of asked.length ? asked : all.slice(0, 1)) {
    const v = root && resolved(root, raw)
    if (v) out[name] = firstValue(root, v, near)
  }
  return out
}

function firstValue(root: Node, v: Node, near: Near): Value {
  switch (kindOf(root, v)) {
    case 'choice':
      return v.enum![0]!
    case 'yes':
      return true
    case 'number':
      return 1
    case 'feature':
      return near.feature
    case 'list': {
      const item = resolved(root, v.items)
      if (item?.title === 'length' && v.minItems === 2) return [mmText(near.x), mmText(near.y)]
      return Array.from({ length: v.minItems ?? 1 }, () => String(item?.enum?.[0] ?? item?.examples?.[0] ?? ''))
    }
    default:
      return String(v.examples?.[0] ?? '')
  }
}

/** Option is one choice of a list, in words. */
export interface Option {
  value: string
  label: string
}

/** optionsOf gives the choices of a key, in the words known here where there are any. */
export function optionsOf(root: Node | null, table: string, name: string, known: readonly Option[]): Option[] {
  const choices = keysOf(root, table).find((k) => k.path === `${table}.${name}`)?.choices ?? []
  return choices.length ? choices.map((value) => known.find((o) => o.value === value) ?? { value, label: value }) : [...known]
}

function kindOf(root: Node, v: Node): Key['kind'] | undefined {
  if (v.enum) return 'choice'
  if (v.type === 'boolean') return 'yes'
  if (v.type === 'number' || v.type === 'integer') return 'number'
  if (v.type === 'string') return v.description?.startsWith('Name of a feature') ? 'feature' : 'text'
  if (v.type === 'object') return 'table'
  const item = v.type === 'array' ? resolved(root, v.items) : undefined
  return item?.type === 'string' ? 'list' : item?.type === 'object' ? 'tables' : undefined
}

/** words makes a key readable: cool_down is "cool down". */
function words(key: string): string {
  const w = key.replaceAll('_', ' ')
  return w.charAt(0).toUpperCase() + w.slice(1)
}

/** defaultOf finds "Default 1 mm" in a description. */
function defaultOf(about: string): string {
  return /[Dd]efault (?:of )?([^.;:,]+(?:\.\d+[^.;:,]*)?)/.exec(about)?.[1]?.trim() ?? ''
}
