import type { Edit, Table } from '../api/types'
import { pathsOf, valueOf, type HandPath } from '../lib/drawnpaths'
import type { Job } from './job.svelte'

/** HandFamily is a family of strands drawn in the job file itself. */
export interface HandFamily {
  index: number
  key: string
  name: string
  /** The family whose layers hold these strands, locked; empty: layers of their own. */
  into: string
  drawing: string
  paths: HandPath[]
}

/** handFamilies lists the drawn families of a job. */
export function handFamilies(job: Job): HandFamily[] {
  return job.tables('layup.family').flatMap((f, index) =>
    f['kind'] === 'drawn'
      ? [{ index, key: `layup.family[${index}]`, name: String(f['name'] ?? 'drawn'), into: String(f['into'] ?? ''), drawing: String(f['drawing'] ?? ''), paths: pathsOf(f['paths']) }]
      : [],
  )
}

/** addPath puts one more strand into the drawn family that is there, or begins one locked into the first family. */
export function addPath(job: Job, path: HandPath): Promise<boolean> {
  const own = handFamilies(job).find((f) => !f.drawing)
  if (own) return setPaths(job, own, [...own.paths, path], 'draw a strand')
  const host = job.tables('layup.family')[0]
  const table: Table = { name: 'by hand', kind: 'drawn', into: String(host?.['name'] ?? host?.['kind'] ?? ''), smooth: true, paths: valueOf([path]) }
  return job.edit('draw a strand', { op: 'insert', key: 'layup.family', table })
}

/** setPaths replaces a family's strands; one without any goes. */
export function setPaths(job: Job, f: HandFamily, paths: readonly HandPath[], label: string): Promise<boolean> {
  const edit: Edit = paths.length || f.drawing ? { op: 'set', key: `${f.key}.paths`, value: valueOf(paths) } : { op: 'remove', key: f.key }
  return job.edit(label, edit)
}

/** lock lays the strands into another family's layers, which flows around them; an empty name gives them layers of their own. */
export function lock(job: Job, f: HandFamily, into: string): Promise<boolean> {
  const edits: Edit[] = into
    ? [
        { op: 'set', key: `${f.key}.into`, value: into },
        { op: 'remove', key: `${f.key}.layers` },
      ]
    : [
        { op: 'remove', key: `${f.key}.into` },
        { op: 'set', key: `${f.key}.layers`, value: 1 },
      ]
  const has = job.value(`${f.key}.layers`) !== undefined
  return job.edit(into ? 'lock strands' : 'free strands', ...edits.filter((e) => !(e.op === 'remove' && e.key?.endsWith('.layers') && !has)))
}
