import type { JobApi } from '../api/client'
import type { Pack } from '../lib/binary'

/** Strands are the distinct layers' strands, packed, with what each point and strand carries. */
export interface Strands {
  readonly points: Float32Array
  readonly start: Uint32Array
  readonly width: Float32Array
  readonly radius: Float32Array
  readonly share: Float32Array
  readonly use: Float32Array
  readonly group: Uint32Array
  readonly closed: Uint8Array
  readonly end: Uint8Array
  readonly length: Float32Array
  readonly leastRadius: Float32Array
  /** Total turning of each strand, rad. */
  readonly turning: Float32Array
  /** Why strands start and end where they do, by the numbers in end. */
  readonly reasons: readonly string[]
  readonly groups: { family: string; layers: number[] }[]
  /** First strand of each group, and one past its last: a group's strands lie side by side. */
  readonly ranges: readonly (readonly [number, number])[]
}

export function strandsOf(p: Pack): Strands {
  const groups = (p.meta['groups'] as Strands['groups'] | null) ?? []
  return {
    points: p.f32('points'),
    start: p.u32('start'),
    width: p.f32('width'),
    radius: p.f32('radius'),
    share: p.f32('share'),
    use: p.f32('use'),
    group: p.u32('strand_group'),
    closed: p.u8('strand_closed'),
    end: p.u8('strand_end'),
    length: p.f32('strand_length'),
    leastRadius: p.f32('strand_least_radius'),
    turning: p.f32('strand_turning'),
    reasons: (p.meta['ends'] as string[] | null) ?? [],
    groups,
    ranges: rangesOf(p.u32('strand_group'), groups.length),
  }
}

/** rangesOf finds where each group's strands begin and end. */
export function rangesOf(group: Uint32Array, n: number): [number, number][] {
  const out: [number, number][] = Array.from({ length: n }, () => [0, 0])
  for (let i = 0; i < group.length; i++) {
    const r = out[group[i]!]
    if (!r) continue
    if (r[1] === 0) r[0] = i
    r[1] = i + 1
  }
  return out
}

/** pointRange gives the points of one group's strands. */
export function pointRange(s: Strands, group: number): [number, number] {
  const [from, to] = s.ranges[group] ?? [0, 0]
  return [s.start[from] ?? 0, s.start[to] ?? 0]
}

/** Of says whose views are meant, and tells one quick analysis from the next. */
export interface Of {
  of: 'quick'
  stamp: string
}

/**
 * Store fetches views and keeps them while the results they were made from
 * still stand. A view asked for twice is fetched once.
 */
export class Store {
  private readonly kept = new Map<string, Promise<unknown>>()

  constructor(private readonly api: JobApi) {}

  clear(): void {
    this.kept.clear()
  }

  private once<A>(key: string, make: () => Promise<A>): Promise<A> {
    let p = this.kept.get(key) as Promise<A> | undefined
    if (!p) {
      p = make()
      this.kept.set(key, p)
      p.catch(() => this.kept.delete(key)) // what failed is asked for again next time
    }
    return p
  }

  mesh = () => this.once('mesh', () => this.api.view('mesh'))
  strands = () => this.once('strands', async () => strandsOf(await this.api.view('strands')))
  principal = (loadCase: number) => this.once(`principal ${loadCase}`, () => this.api.view('principal', { case: loadCase }))
  beads = (layer: number) => this.once(`beads ${layer}`, () => this.api.view('beads', { layer }))
  coverage = (layer: number) => this.once(`coverage ${layer}`, () => this.api.view('coverage', { layer }))
  /** of names a quick analysis; left out, the last run is meant. */
  field = (quantity: string, design: number, loadCase: number, layer: number, face: string | undefined, of?: Of) =>
    this.once(`field ${quantity} ${design} ${loadCase} ${layer} ${face} ${of?.stamp}`, () => this.api.view('field', { quantity, design, case: loadCase, layer, face, of: of?.of }))
  shape = (id: string, loadCase: number, of?: Of) => this.once(`shape ${id} ${loadCase} ${of?.stamp}`, () => this.api.view('shape', { id, case: loadCase, of: of?.of }))
  displacement = (design: number, loadCase: number, of?: Of) =>
    this.once(`displacement ${design} ${loadCase} ${of?.stamp}`, () => this.api.view('displacement', { design, case: loadCase, of: of?.of }))
  playback = (from: number) => this.once(`playback ${from}`, () => this.api.playback(from))
}
