/** Keys of the job file as its JSON Schema tells them, for entries that no section has written by hand. */

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
  items?: Node
}

/** Key is one value of a table, ready for an entry. */
export interface Key {
  key: string
  name: string
  about: string
  kind: 'text' | 'number' | 'list' | 'choice' | 'yes'
  choices: string[]
  /** What holds when it is left out, as far as its description says. */
  empty: string
}

function resolved(root: Node, n: Node | undefined): Node | undefined {
  if (!n?.$ref) return n
  const name = n.$ref.split('/').at(-1) ?? ''
  return { ...root.$defs?.[name], ...(n.description ? { description: n.description } : {}) }
}

/**
 * keysOf lists the plain values of a table, such as "judge" or "layup.family";
 * tables within it are left out. The keys stand under base, such as
 * "layup.family[2]", where that differs from the table's own name.
 */
export function keysOf(root: Node | null, table: string, skip: readonly string[] = [], base = table): Key[] {
  if (!root) return []
  let n: Node | undefined = root
  for (const step of table.split('.')) {
    n = resolved(root, n?.properties?.[step])
    if (n?.type === 'array') n = resolved(root, n.items)
  }
  return Object.entries(n?.properties ?? {}).flatMap(([name, raw]) => {
    const v = resolved(root, raw)
    const kind = v && kindOf(root, v)
    if (!v || !kind || skip.includes(name)) return []
    const about = v.description ?? ''
    return [{ key: `${base}.${name}`, name: words(name), about, kind, choices: v.enum ?? [], empty: defaultOf(about) }]
  })
}

/** Option is one choice of a list, in words. */
export interface Option {
  value: string
  label: string
}

/** optionsOf gives the choices of a key, in the words known here where there are any. */
export function optionsOf(root: Node | null, table: string, name: string, known: readonly Option[]): Option[] {
  const choices = keysOf(root, table).find((k) => k.key === `${table}.${name}`)?.choices ?? []
  return choices.length ? choices.map((value) => known.find((o) => o.value === value) ?? { value, label: value }) : [...known]
}

function kindOf(root: Node, v: Node): Key['kind'] | undefined {
  if (v.enum) return 'choice'
  if (v.type === 'boolean') return 'yes'
  if (v.type === 'number' || v.type === 'integer') return 'number'
  if (v.type === 'string') return 'text'
  if (v.type === 'array') return resolved(root, v.items)?.type === 'string' ? 'list' : undefined
  return undefined
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
