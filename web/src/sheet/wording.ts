import type { Table } from '../api/types'
import type { Job } from '../state/job.svelte'
import type { Near } from './schema'

/** Choices of the job file in words, and what a new table holds. */

export const holds = [
  { value: 'fixed', label: 'fixed' },
  { value: 'pinned', label: 'pinned, free to turn' },
  { value: 'sliding', label: 'held along a direction' },
  { value: 'resting', label: 'resting, free in the plane' },
]

export const loadKinds = [
  { value: 'bearing', label: 'pin in its hole' },
  { value: 'even', label: 'spread evenly' },
  { value: 'grip', label: 'clamped, moving as one' },
  { value: 'traction', label: 'stress on its face' },
  { value: 'pressure', label: 'pressure' },
  { value: 'half-pin', label: 'pin, on half the hole' },
  { value: 'bolt', label: 'bolt with spokes' },
]

export function takesStress(how: string): boolean {
  return how === 'traction' || how === 'pressure'
}

export function newSupport(at: string): Table {
  return { at, how: 'fixed' }
}

export function newLoad(at: string, hole = true): Table {
  return { at, how: hole ? 'bearing' : 'even', force: '1 kN', angle: '0 °' }
}

export function newCase(n: number, at: string): Table {
  return { name: `case ${n}`, factor: 1.5, load: [newLoad(at)] }
}

export const familyKinds = [
  { value: 'steered', label: 'steered along the load' },
  { value: 'straight', label: 'straight at an angle' },
  { value: 'loop', label: 'loop around holes' },
  { value: 'rim', label: 'rim along the outline' },
  { value: 'ribs', label: 'ribs in a lattice' },
  { value: 'drawn', label: 'drawn by hand' },
  { value: 'plain', label: 'plain plastic' },
]

export function newFamily(kind: string, hole: string): Table {
  switch (kind) {
    case 'straight':
      return { name: 'straight', kind, layers: 2, angle: '0 °' }
    case 'loop':
      return { name: `loop ${hole}`, kind, layers: 2, around: [hole], turns: 3 }
    case 'ribs':
      return { name: 'ribs', kind, layers: 2, pitch: '8 mm', angle: '45 °' }
    case 'rim':
      return { name: 'rim', kind, layers: 2, turns: 3 }
    case 'plain':
      return { name: 'plain plastic', kind, layers: 2 }
    default:
      return { name: 'lengthwise', kind: 'steered', layers: 2 }
  }
}

/** mmText writes a length for the job file. */
export function mmText(v: number): string {
  return `${Number(v.toFixed(3))} mm`
}

/** forceText writes a force as a person would. */
export function forceText(n: number): string {
  const rounded = Number(n.toPrecision(3))
  return Math.abs(rounded) >= 1000 ? `${Number((rounded / 1000).toPrecision(3))} kN` : `${rounded} N`
}

/** angleText writes an angle in whole or half degrees. */
export function angleText(deg: number): string {
  const a = ((((Math.round(2 * deg) / 2) % 360) + 540) % 360) - 180
  return `${a === -180 ? 180 : a} °`
}

/** nearOf is where a new table begins: the part's last feature and the middle of its box. */
export function nearOf(job: Job): Near {
  const [x0, y0, x1, y1] = job.part?.box_mm ?? [0, 0, 0, 0]
  return { feature: job.part?.features?.at(-1)?.name ?? '', x: (x0 + x1) / 2, y: (y0 + y1) / 2 }
}
