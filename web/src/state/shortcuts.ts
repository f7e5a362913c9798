import { app } from './app.svelte'
import { sections, shows } from './view.svelte'

/** Keys that work everywhere on the page, with what they do; the leaf "keys" lists them. */
export const keys: { keys: string; does: string }[] = [
  { keys: 'Ctrl Z / Ctrl Y', does: 'undo, redo an edit' },
  { keys: 'Ctrl Enter', does: 'run the whole job' },
  { keys: 'Esc', does: 'cancel a tool, close a leaf, stop what is being dragged' },
  { keys: 'Alt 1 … Alt 9', does: 'take a section of the sheet in hand' },
  { keys: 'Alt B', does: 'go to the board' },
  { keys: 'Alt S', does: 'go to the stack' },
  { keys: 'board: arrows', does: 'move the picture; with Shift turn it' },
  { keys: 'board: + − 0', does: 'nearer, farther, the whole part' },
  { keys: 'board: , and .', does: 'one layer down, one up' },
  { keys: 'board: 1 … 7', does: 'part, mesh, flow, field, strands, coverage, program' },
  { keys: 'board: m c p d', does: 'measure, cut along a line, place a probe, draw a strand' },
  { keys: 'board: r', does: 'in the round, and back' },
  { keys: 'board: space', does: 'play the program, pause' },
  { keys: 'stack: arrows', does: 'next layer; with Alt the layer itself moves' },
]

function typing(e: KeyboardEvent): boolean {
  const t = e.target
  return t instanceof HTMLElement && (t.matches('input, textarea, select') || t.isContentEditable)
}

/** shortcut answers keys that no widget took. */
export function shortcut(e: KeyboardEvent): void {
  const job = app.job
  if (e.defaultPrevented || !job) return
  const ctrl = e.ctrlKey || e.metaKey
  if (ctrl && e.key === 'Enter') {
    e.preventDefault()
    if (!job.running) void job.start('run')
    return
  }
  if (ctrl && !typing(e) && e.key.toLowerCase() === 'z') {
    e.preventDefault()
    void (e.shiftKey ? job.redo() : job.undo())
    return
  }
  if (ctrl && !typing(e) && e.key.toLowerCase() === 'y') {
    e.preventDefault()
    void job.redo()
    return
  }
  if (e.altKey && !ctrl) alt(e)
}

function alt(e: KeyboardEvent): void {
  const section = sections[Number(e.key) - 1]
  if (section) {
    e.preventDefault()
    app.view.take(section)
    document.getElementById(`section-${section}`)?.querySelector<HTMLElement>('button')?.focus()
  }
  if (e.key.toLowerCase() === 'b') focusOn('board', e)
  if (e.key.toLowerCase() === 's') focusOn('stack', e)
}

function focusOn(id: string, e: KeyboardEvent): void {
  e.preventDefault()
  document.getElementById(id)?.focus()
}

/** showByKey gives what a digit on the board shows. */
export function showByKey(key: string): (typeof shows)[number] | undefined {
  return shows[Number(key) - 1]
}
