import type { Job } from '../state/job.svelte'
import type { Section } from '../state/view.svelte'
import { placed } from '../state/placed.svelte'
import type { Standing } from '../ui/Mark.svelte'

/** Which top keys of the job file a section answers for. */
const keysOf: Partial<Record<Section, string[]>> = {
  part: ['schema', 'name', 'note', 'part', 'feature'],
  loads: ['support', 'case'],
  materials: ['material'],
  layup: ['layup'],
  program: ['batch'],
  strength: ['mesh', 'judge', 'require', 'compare', 'probe', 'analysis'],
}

/** The steps of a run that work on a section. */
const stepsOf: Partial<Record<Section, string[]>> = {
  layup: ['mesh', 'fibre field', 'strands', 'lay'],
  strength: ['proof', 'prove', 'comparison'],
  printability: ['findings', 'check'],
  program: ['program', 'post'],
}

/** faultsOf lists what is wrong with a section's inputs. */
export function faultsOf(job: Job, section: Section) {
  const keys = keysOf[section] ?? []
  return job.faults.filter((f) => keys.some((k) => f.key === k || f.key?.startsWith(`${k}.`) || f.key?.startsWith(`${k}[`)))
}

/** restOf are faults of a section that stand at no entry of the sheet, such as a missing table. */
export function restOf(job: Job, section: Section) {
  return faultsOf(job, section).filter((f) => !placed.has(f.key ?? ''))
}

/** homeless are faults that no section shows. */
export function homeless(job: Job) {
  const all = Object.values(keysOf).flat()
  return job.faults.filter((f) => !placed.has(f.key ?? '') && !all.some((k) => f.key === k || f.key?.startsWith(`${k}.`) || f.key?.startsWith(`${k}[`)))
}

/** standingOf says how things stand with a section. */
export function standingOf(job: Job, section: Section): Standing {
  if (faultsOf(job, section).length) return 'bad'
  if (section === 'part' || section === 'loads') return job.part?.loops ? 'good' : 'none'
  if (job.running && stepsOf[section]?.some((s) => job.run?.step.startsWith(s))) return 'busy'
  const r = job.rec
  if (!r) return 'none'
  if (!job.result?.fresh && section !== 'materials') return 'stale'
  switch (section) {
    case 'materials':
      return r.bead ? 'good' : 'none'
    case 'layup':
      return r.strands ? 'good' : 'none'
    case 'strength':
      return !r.designs.length ? 'none' : r.verdict && !r.verdict.passes ? 'bad' : 'good'
    case 'printability':
      return r.findings.some((f) => f.severity === 'stop' && !f.allowed) ? 'bad' : r.findings.some((f) => f.severity === 'warn') ? 'warn' : r.strands ? 'good' : 'none'
    case 'program':
      return !r.program ? 'none' : r.program.read_back.agrees ? 'good' : 'bad'
    case 'price':
      return r.program ? 'good' : 'none'
    case 'evidence':
      return r.verdict ? (r.verdict.passes ? 'good' : 'bad') : 'none'
  }
}
