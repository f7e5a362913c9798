import { showByKey } from '../state/shortcuts'
import type { Tool } from '../state/view.svelte'
import type { Playing } from '../play/playing.svelte'
import { moved, turned, zoomed } from './camera'
import type { Model } from './model.svelte'
import type { Tools } from './tools.svelte'

const tools: Record<string, Tool> = { m: 'measure', c: 'cut', p: 'probe', d: 'draw' }
const arrows: Record<string, [number, number]> = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }
/** How far one key press moves the picture, pixels, and turns it, rad. */
const step = 40
const turn = 0.1

/** boardKey answers a key on the board; true when it meant something. */
export function boardKey(e: KeyboardEvent, m: Model, t: Tools, playing: Playing): boolean {
  if (e.ctrlKey || e.metaKey || e.altKey) return false
  const c = m.camera
  const arrow = arrows[e.key]
  if (arrow) {
    if (e.shiftKey) {
      m.view.round = true
      m.camera = turned(c, -arrow[0] * turn, arrow[1] * turn)
    } else m.camera = moved(c, arrow[0] * step, arrow[1] * step)
    t.look()
    return true
  }
  const show = showByKey(e.key)
  if (show) {
    m.view.show = show
    return true
  }
  const tool = tools[e.key]
  if (tool) {
    m.view.tool = m.view.tool === tool ? 'point' : tool
    t.look()
    return true
  }
  switch (e.key) {
    case '+':
    case '=':
      m.camera = zoomed(c, 1.25, c.width / 2, c.height / 2)
      return true
    case '-':
      m.camera = zoomed(c, 0.8, c.width / 2, c.height / 2)
      return true
    case '0':
      m.fit()
      return true
    case 'r':
      m.view.round = !m.view.round
      return true
    case ',':
    case '.':
      m.view.layer = stepped(m, e.key === '.' ? 1 : -1)
      return true
    case ' ':
      playing.toggle()
      return m.view.show === 'program'
    case 'Enter':
      t.look()
      if (m.view.tool === 'draw' && e.shiftKey) t.finish()
      else if (t.hit) t.act(t.hit.point, { x: c.width / 2, y: c.height / 2 })
      return true
    case 'Delete':
    case 'Backspace':
      return t.remove()
    case 'Escape':
      return t.cancel()
  }
  return false
}

function stepped(m: Model, by: number): number {
  const n = m.job.views?.layers?.length ?? 0
  const from = m.view.layer >= 0 ? m.view.layer : m.topLayer
  return Math.min(n - 1, Math.max(0, from + by))
}
