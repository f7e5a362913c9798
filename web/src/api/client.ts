import { decode, type Pack } from '../lib/binary'
import type * as T from './types'

/** ApiError is a refusal of the server, in its own words. */
export class ApiError extends Error {
  constructor(
    readonly status: number,
    readonly problem: T.Problem,
  ) {
    super(problem.detail || problem.title || `refused with ${status}`)
  }

  /** conflict is set when someone else changed the job file meanwhile. */
  get conflict(): T.Conflict | undefined {
    return this.problem.conflict
  }
}

/** Offline says that the server did not answer at all. */
export class Offline extends Error {}

async function ask(path: string, init: RequestInit = {}): Promise<Response> {
  let answer: Response
  try {
    answer = await fetch(path, init)
  } catch (e) {
    if (e instanceof DOMException && e.name === 'AbortError') throw e
    throw new Offline('the server does not answer; start "sinew serve" again, the page goes on by itself')
  }
  if (answer.ok) return answer
  const text = await answer.text()
  let problem: T.Problem = { title: answer.statusText, status: answer.status, detail: text.slice(0, 300) }
  try {
    problem = { ...problem, ...(JSON.parse(text) as T.Problem) }
  } catch {
    // not every refusal carries JSON: the text stands for itself
  }
  if (answer.status === 401) problem.detail = 'this server asks for a token: open the address that it printed when it started'
  throw new ApiError(answer.status, problem)
}

async function json<A>(path: string, method = 'GET', body?: unknown, signal?: AbortSignal): Promise<A> {
  const init: RequestInit = { method, signal: signal ?? null }
  if (body instanceof FormData) init.body = body
  else if (body !== undefined) {
    init.body = JSON.stringify(body)
    init.headers = { 'Content-Type': 'application/json' }
  }
  const answer = await ask(path, init)
  return (await answer.json()) as A
}

function query(args: Record<string, string | number | undefined>): string {
  const set = Object.entries(args).filter((e): e is [string, string | number] => e[1] !== undefined)
  return set.length ? `?${set.map(([k, v]) => `${k}=${encodeURIComponent(v)}`).join('&')}` : ''
}

/** The workspace. */
export const workspace = {
  server: () => json<T.Server>('/api'),
  jobs: () => json<{ jobs: T.JobEntry[] | null }>('/api/jobs'),
  schema: () => json<Record<string, unknown>>('/api/schema/job'),
  create(name: string, file?: File): Promise<{ id: string; made: string[] }> {
    const form = new FormData()
    form.set('name', name)
    if (file) form.set('file', file)
    return json('/api/jobs', 'POST', form)
  },
}

/** JobApi speaks about one job. */
export class JobApi {
  readonly base: string

  constructor(readonly id: string) {
    this.base = `/api/jobs/${encodeURIComponent(id)}`
  }

  copy = (name: string) => json<{ id: string }>(`${this.base}/copy`, 'POST', { name })
  file = () => json<T.FileState>(`${this.base}/file`)
  edit = (base: string, label: string, edits: T.Edit[]) => json<T.FileState>(`${this.base}/file`, 'PATCH', { base, label, edits })
  write = (base: string, label: string, text: string) => json<T.FileState>(`${this.base}/file`, 'PUT', { base, label, text })
  undo = (base: string) => json<T.FileState>(`${this.base}/undo`, 'POST', { base })
  redo = (base: string) => json<T.FileState>(`${this.base}/redo`, 'POST', { base })
  edits = () => json<{ at: number; entries: T.EditEntry[] | null }>(`${this.base}/edits`)
  part = () => json<T.PartView>(`${this.base}/part`)
  beadWorth = (args: Record<string, string>) => json<T.BeadAnswer>(`${this.base}/bead/worth${query(args)}`)
  bead = () => json<{ curves: T.Curve[] | null }>(`${this.base}/bead`)

  run = (stage: T.Stage, allow: string[]) => json<T.Run>(`${this.base}/runs`, 'POST', { stage, allow })
  cancel = () => json<T.Run>(`${this.base}/runs/current`, 'DELETE')
  quick = () => json<T.Quick>(`${this.base}/quick`, 'POST')

  result = () => json<T.Result>(`${this.base}/result`)
  history = () => json<{ runs: T.HistoryEntry[] | null }>(`${this.base}/history`)
  past = (id: string) => json<T.HistoryRun>(`${this.base}/history/${encodeURIComponent(id)}`)
  changes = (id: string, to: string) => json<{ changed: T.Change[] | null }>(`${this.base}/history/${encodeURIComponent(id)}/changes${query({ to })}`)
  restore = (id: string, base: string) => json<T.FileState>(`${this.base}/history/${encodeURIComponent(id)}/restore`, 'POST', { base })

  views = () => json<T.Views>(`${this.base}/views`)
  at = (args: { x: number; y: number; design: number; case: number; of: string | undefined }, signal?: AbortSignal) => json<T.AtPoint>(`${this.base}/views/at${query(args)}`, 'GET', undefined, signal)
  section = (args: { ax: number; ay: number; bx: number; by: number; n: number; quantity: string; design: number; case: number; layer: number; face: string | undefined; of: string | undefined }) =>
    json<T.SectionPlot>(`${this.base}/views/section${query(args)}`)
  strand = (args: { layer: number; strand: number; case: number }) => json<T.StrandPlot>(`${this.base}/views/strand${query(args)}`)

  /** view fetches one of the binary views. */
  async view(name: string, args: Record<string, string | number | undefined> = {}): Promise<Pack> {
    const answer = await ask(`${this.base}/views/${name}${query(args)}`)
    return decode(await answer.arrayBuffer())
  }

  /** playback fetches the program from a time on; its meta says where to go on. */
  async playback(from: number): Promise<Pack> {
    const answer = await ask(`${this.base}/playback${query({ from: from || undefined })}`)
    return decode(await answer.arrayBuffer())
  }

  cards = () => json<{ cards: T.CardEntry[] | null }>(`${this.base}/cards`)
  card = (kind: string, id: string) => json<T.Card>(`${this.base}/cards/${kind}/${encodeURIComponent(id)}`)
  cardCurves = (kind: string, id: string) => json<{ curves: T.Curve[] | null }>(`${this.base}/cards/${kind}/${encodeURIComponent(id)}/curves`)
  copyCard = (kind: string, id: string, name: string) => json<T.Card>(`${this.base}/cards/${kind}/${encodeURIComponent(id)}/copy`, 'POST', { name })
  writeCard = (kind: string, id: string, base: string, text: string) => json<T.Card>(`${this.base}/cards/${kind}/${encodeURIComponent(id)}`, 'PUT', { base, text })

  upload(file: File, replace = false): Promise<{ name: string }> {
    const form = new FormData()
    form.set('file', file)
    return json(`${this.base}/files${query({ replace: replace ? 'true' : undefined })}`, 'POST', form)
  }

  get dossierUrl(): string {
    return `${this.base}/dossier`
  }

  get programUrl(): string {
    return `${this.base}/program`
  }

  get eventsUrl(): string {
    return `${this.base}/events`
  }
}
