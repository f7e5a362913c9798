import type { Job } from '../state/job.svelte'

/** takeFile makes a file that was brought in the part: a drawing, or a solid that then needs to be told which way is up. */
export function takeFile(job: Job, name: string): Promise<boolean> {
  const solid = /\.(stl|3mf)$/i.test(name)
  const [key, other] = solid ? ['part.solid', 'part.drawing'] : ['part.drawing', 'part.solid']
  const drop = job.value(other!) !== undefined ? [{ op: 'remove' as const, key: other! }] : []
  const up = solid && job.value('part.up') === undefined ? [{ op: 'set' as const, key: 'part.up', value: 'z' }] : []
  return job.edit(solid ? 'solid' : 'drawing', ...drop, { op: 'set', key: key!, value: name }, ...up)
}
