import { ApiError, JobApi } from '../api/client'
import type * as T from '../api/types'
import { faultsAt, tablesAt, textAt, valueAt } from '../lib/keys'
import { Store } from '../board/data'
import { listen } from './events'
import { notices } from './notices.svelte'

/** A change that met someone else's: both are shown, the user chooses. */
export interface Clash {
  label: string
  edits: T.Edit[] | null
  conflict: T.Conflict
}

/**
 * Job mirrors one job of the server: its file, its part, its run and results.
 * Edits go to the server one after the other; the page shows what comes back.
 */
export class Job {
  readonly api: JobApi
  /** Views of the results that stand now. */
  readonly store: Store
  file = $state.raw<T.FileState | null>(null)
  part = $state.raw<T.PartView | null>(null)
  run = $state.raw<T.Run | null>(null)
  result = $state.raw<T.Result | null>(null)
  views = $state.raw<T.Views | null>(null)
  quick = $state.raw<T.Quick | null>(null)
  /** Why the strands as kept do not answer for the present loads. */
  quickRefused = $state('')
  cards = $state.raw<T.CardEntry[]>([])
  clash = $state.raw<Clash | null>(null)
  connected = $state(true)
  gone = $state(false)
  /** Grows with every new set of strands, meshes or margins: pictures drawn from them are stale. */
  generation = $state(0)

  private queue: Promise<unknown> = Promise.resolve()
  private readonly hangUp: () => void
  private quickTimer: ReturnType<typeof setTimeout> | undefined

  constructor(readonly id: string) {
    this.api = new JobApi(id)
    this.store = new Store(this.api)
    this.hangUp = listen(this.api.eventsUrl, {
      file: (e) => void (e.version !== this.file?.version && this.refreshFile()),
      inputs: () => void this.refreshInputs(),
      run: (r) => this.onRun(r),
      arrived: () => void this.refreshViews(),
      result: () => void this.refreshResult(),
      gone: () => (this.gone = true),
      line: (open) => {
        if (open && !this.connected) void this.refreshFile()
        this.connected = open
      },
    })
    void this.refreshInputs()
    void this.refreshFile()
  }

  close(): void {
    this.hangUp()
    clearTimeout(this.quickTimer)
  }

  get doc(): T.Table | null {
    return this.file?.doc ?? null
  }

  get faults(): T.Fault[] {
    return this.file?.faults ?? []
  }

  get rec(): T.Rec | null {
    return this.result?.record ?? null
  }

  get running(): boolean {
    return this.run?.state === 'running' || this.run?.state === 'waiting'
  }

  text(key: string): string {
    return textAt(this.doc, key)
  }

  value(key: string): T.Value | undefined {
    return valueAt(this.doc, key)
  }

  tables(key: string): T.Table[] {
    return tablesAt(this.doc, key)
  }

  faultsAt(key: string, deep = false): T.Fault[] {
    return faultsAt(this.faults, key, deep)
  }

  /** edit sends changes as one undo step; true when they were taken. */
  edit(label: string, ...edits: T.Edit[]): Promise<boolean> {
    return this.inTurn(label, edits, (base) => this.api.edit(base, label, edits))
  }

  /** set changes one value; an emptied one is left out, so that its default holds. */
  set(key: string, value: T.Value, label: string): Promise<boolean> {
    if (value === '') return this.value(key) === undefined ? Promise.resolve(true) : this.edit(label, { op: 'remove', key })
    return this.edit(label, { op: 'set', key, value })
  }

  undo = () => this.inTurn('undo', null, (base) => this.api.undo(base))
  redo = () => this.inTurn('redo', null, (base) => this.api.redo(base))
  write = (text: string) => this.inTurn('text', null, (base) => this.api.write(base, 'job text', text))
  restore = (id: string) => this.inTurn('restore', null, (base) => this.api.restore(id, base))

  /** settle answers a clash: theirs is taken as it is, or mine goes on top of it. */
  async settle(mine: boolean): Promise<void> {
    const clash = this.clash
    this.clash = null
    await this.refreshFile()
    if (!clash || !mine) return
    const base = clash.conflict.their_version
    const edits = clash.edits
    await this.inTurn(clash.label, edits, () => (edits ? this.api.edit(base, clash.label, edits) : this.api.write(base, clash.label, clash.conflict.your_text)))
  }

  private inTurn(label: string, edits: T.Edit[] | null, send: (base: string) => Promise<T.FileState>): Promise<boolean> {
    const next = this.queue.then(async () => {
      if (!this.file) return false
      try {
        this.takeFile(await send(this.file.version))
        return true
      } catch (e) {
        if (e instanceof ApiError && e.conflict) this.clash = { label, edits, conflict: e.conflict }
        else notices.error(e)
        return false
      }
    })
    this.queue = next
    return next
  }

  private takeFile(f: T.FileState): void {
    const changed = f.version !== this.file?.version
    this.file = f
    if (changed) {
      void this.refreshPart()
      this.askQuick()
    }
  }

  async refreshFile(): Promise<void> {
    await quiet(async () => this.takeFile(await this.api.file()))
  }

  private async refreshPart(): Promise<void> {
    await quiet(async () => (this.part = await this.api.part()))
  }

  private async refreshInputs(): Promise<void> {
    await Promise.all([this.refreshPart(), quiet(async () => (this.cards = (await this.api.cards()).cards ?? []))])
  }

  async refreshViews(): Promise<void> {
    const views = await this.api.views().catch(() => null)
    this.store.clear()
    this.views = views
    this.generation++
  }

  private async refreshResult(): Promise<void> {
    const before = this.result
    await quiet(async () => (this.result = await this.api.result()))
    const now = this.result
    if (now?.fresh) {
      this.quick = null
      this.quickRefused = ''
    }
    if (!before || before.run.started !== now?.run.started || before.run.command !== now.run.command || !this.views) await this.refreshViews()
  }

  /** askQuick asks for margins of the strands as kept, a moment after the last edit. */
  private askQuick(): void {
    clearTimeout(this.quickTimer)
    this.quickTimer = setTimeout(() => void this.askQuickNow(), 80)
  }

  private async askQuickNow(): Promise<void> {
    if (!this.result?.record.designs.length || this.faults.length || this.running) {
      this.quick = null
      this.quickRefused = ''
      return
    }
    try {
      const quick = await this.api.quick()
      this.quick = quick.input_hash === this.result.record.input_hash ? null : quick
      this.quickRefused = ''
    } catch (e) {
      this.quick = null
      this.quickRefused = e instanceof ApiError ? e.message : ''
    }
  }

  async start(stage: T.Stage, allow: string[] = []): Promise<void> {
    try {
      const run = await this.api.run(stage, allow)
      if (this.run?.id !== run.id) this.run = run // else its events came first and know more
    } catch (e) {
      notices.error(e)
    }
  }

  async cancel(): Promise<void> {
    await notices.guard(() => this.api.cancel()) // what became of it, the events tell
  }

  private onRun(r: T.Run): void {
    const before = this.run
    this.run = r
    if (before?.id === r.id && before.state === r.state) return
    if (r.state === 'failed') notices.say(`Run stopped: ${r.error ?? 'no reason given'}`, 'bad')
    if (r.state === 'cancelled' && before?.id === r.id) notices.say('Run cancelled; the results of before still stand.', 'plain')
    if (r.state === 'done' && before?.id === r.id) notices.say(r.verdict === 'fails' ? 'Run done: the part misses a requirement.' : 'Run done.', r.verdict === 'fails' ? 'bad' : 'good')
  }
}

/** quiet swallows a failed refresh: the event stream says when the server is back, and all is asked again. */
async function quiet(f: () => Promise<unknown>): Promise<void> {
  try {
    await f()
  } catch {
    // a view that is not there yet stays empty
  }
}
