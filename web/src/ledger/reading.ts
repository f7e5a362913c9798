import type { Design, DesignCase, Margin, Quick, Rec } from '../api/types'

/** What the ledger reads out of a record: the mode that governs, and if that is enough. */

/** Required holds the least reserve factors that the job asks for. */
export interface Required {
  fibre: number
  matrix: number
}

const holdsFibres = ['matrix', 'plastic strength', 'shear between layers']

/** requiredFor is what a mode must reach: what holds the fibres the one, all else the other. */
export function requiredFor(mode: string, r: Required): number {
  return holdsFibres.includes(mode) ? r.matrix : r.fibre
}

/** governing is the margin that leaves least over what is required. */
export function governing(c: DesignCase | undefined, r: Required): Margin | undefined {
  let worst: Margin | undefined
  for (const m of c?.margins ?? []) {
    if (!worst || m.reserve_factor / requiredFor(m.mode, r) < worst.reserve_factor / requiredFor(worst.mode, r)) worst = m
  }
  return worst
}

export function short(m: Margin | undefined, r: Required): boolean {
  return m !== undefined && m.reserve_factor < requiredFor(m.mode, r)
}

/** merged puts quick margins in place of the kept ones, design by design. */
export function merged(rec: Rec | null, quick: Quick | null): Design[] {
  const kept = rec?.designs ?? []
  if (!quick) return kept
  const fresh = new Map(quick.designs.map((d) => [d.name, d]))
  return kept.map((d) => {
    const q = fresh.get(d.name)
    return q ? { ...d, ...q, time_s: d.time_s, cost: d.cost } : d
  })
}

/** caseOf finds a design's figures for a case. */
export function caseOf(d: Design | undefined, name: string): DesignCase | undefined {
  return d?.cases?.find((c) => c.case === name)
}

const codes: Record<string, string> = {
  'fibre tension': 'fibre +',
  'fibre compression': 'fibre −',
  'plastic strength': 'plastic',
  'shear between layers': 'interlaminar',
}

/** code is a mode in a few letters, for the ledger's narrow columns. */
export function code(mode: string): string {
  return codes[mode] ?? mode
}
