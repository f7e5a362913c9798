import type { Fault, Table, Value } from '../api/types'

/** Key paths of the job file, as the server writes them: case[0].load[1].force. */

export type Step = string | number

/** steps takes a key path apart. */
export function steps(key: string): Step[] {
  const out: Step[] = []
  for (const part of key.split('.')) {
    const name = part.replace(/\[.*$/, '')
    if (name) out.push(name)
    for (const m of part.matchAll(/\[(\d+)\]/g)) out.push(Number(m[1]))
  }
  return out
}

/** valueAt looks a key path up in a job file. */
export function valueAt(doc: Value | null | undefined, key: string): Value | undefined {
  let v: Value | undefined = doc ?? undefined
  for (const s of steps(key)) {
    if (v === undefined || v === null || typeof v !== 'object') return undefined
    v = Array.isArray(v) ? (typeof s === 'number' ? v[s] : undefined) : typeof s === 'string' ? v[s] : undefined
  }
  return v
}

/** textAt is a value as it stands in an entry. */
export function textAt(doc: Value | null | undefined, key: string): string {
  const v = valueAt(doc, key)
  if (v === undefined) return ''
  if (Array.isArray(v)) return v.map((w) => String(w)).join(', ')
  return typeof v === 'object' ? '' : String(v)
}

/** tablesAt is a list of tables, empty where there is none. */
export function tablesAt(doc: Value | null | undefined, key: string): Table[] {
  const v = valueAt(doc, key)
  if (!Array.isArray(v)) return []
  return v.filter((t): t is Table => typeof t === 'object' && !Array.isArray(t))
}

/** faultsAt are those of a key itself, and of what it lacks when deep is set. */
export function faultsAt(faults: readonly Fault[], key: string, deep = false): Fault[] {
  return faults.filter((f) => {
    const k = f.key ?? ''
    return k === key || (deep && (k.startsWith(`${key}.`) || k.startsWith(`${key}[`)))
  })
}
