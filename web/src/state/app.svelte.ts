import { ApiError, workspace } from '../api/client'
import type * as T from '../api/types'
import type { Node } from '../sheet/schema'
import { Job } from './job.svelte'
import { notices } from './notices.svelte'
import { View } from './view.svelte'

const lightKey = 'sinew-light'

/** App is the page: the workspace, and the job that lies on the desk. */
class App {
  server = $state.raw<T.Server | null>(null)
  jobs = $state.raw<T.JobEntry[]>([])
  job = $state.raw<Job | null>(null)
  view = $state.raw(new View())
  /** Why the page cannot work at all, such as a missing token. */
  barred = $state('')
  /** What the job file may hold: kinds of value, choices, and what each key means. */
  schema = $state.raw<Node | null>(null)
  /** A larger leaf laid over the sheet. */
  leaf = $state.raw<null | { kind: 'compare' | 'history' | 'text' | 'keys' } | { kind: 'card'; card: string; id: string }>(null)
  dark = $state(false)

  async begin(): Promise<void> {
    const kept = localStorage.getItem(lightKey)
    this.setDark(kept ? kept === 'dark' : matchMedia('(prefers-color-scheme: dark)').matches, false)
    addEventListener('hashchange', () => this.follow())
    try {
      this.server = await workspace.server()
      await this.refreshJobs()
      void workspace.schema().then((s) => (this.schema = s as Node), () => {})
    } catch (e) {
      this.barred = e instanceof ApiError && e.status === 401 ? e.message : `${e instanceof Error ? e.message : String(e)}`
      setTimeout(() => void this.begin(), 2000)
      return
    }
    this.barred = ''
    if (this.server?.single && this.jobs[0] && !location.hash) location.replace(`#${encodeURIComponent(this.jobs[0].id)}`)
    this.follow()
  }

  async refreshJobs(): Promise<void> {
    this.jobs = (await workspace.jobs()).jobs ?? []
  }

  /** open puts a job on the desk; an empty id clears it. */
  open(id: string): void {
    location.hash = id ? encodeURIComponent(id) : ''
  }

  private follow(): void {
    const id = decodeURIComponent(location.hash.slice(1))
    if (id === (this.job?.id ?? '')) return
    this.job?.close()
    this.job = id ? new Job(id) : null
    this.view = new View()
    this.leaf = null
    if (!id) void notices.guard(() => this.refreshJobs())
  }

  setDark(dark: boolean, keep = true): void {
    this.dark = dark
    document.documentElement.dataset['light'] = dark ? 'dark' : 'light'
    if (keep) localStorage.setItem(lightKey, dark ? 'dark' : 'light')
  }
}

export const app = new App()
