import { hex } from '../lib/ramp'
import type { Playing } from '../play/playing.svelte'
import type { Model } from './model.svelte'
import type { Inks, Picture, RGBA, ShownLayer } from './scene'

const kept = new WeakMap<Element, { light: string; inks: Inks }>()

/** inksOf reads the board's colours from the style sheet, anew when light and dark change. */
export function inksOf(element: Element): Inks {
  const light = document.documentElement.dataset['light'] ?? ''
  const known = kept.get(element)
  if (known?.light === light) return known.inks
  const style = getComputedStyle(element)
  const read = (name: string, alpha = 1): RGBA => [...hex(style.getPropertyValue(name).trim()), alpha] as unknown as RGBA
  const inks = { line: read('--ink'), faint: read('--soft', 0.45), body: read('--body'), plastic: read('--plastic'), bad: read('--red'), good: read('--pencil') }
  kept.set(element, { light, inks })
  return inks
}

/** shownLayers are the layers up to the one on top, pulled apart as asked. */
function shownLayers(m: Model): ShownLayer[] {
  const layers = m.job.views?.layers ?? []
  const thickness = m.job.part?.thickness_mm ?? 1
  if (!layers.length) return bare(m, thickness)
  const top = m.view.layer >= 0 ? m.topLayer : layers.length - 1
  return layers.slice(0, top + 1).map((l) => {
    const z0 = (l.top_mm - l.height_mm) * m.view.apart
    return { z0, z1: z0 + l.height_mm, at: l.top_mm - l.height_mm / 2, group: l.group, composite: l.kind === 'composite' }
  })
}

/** bare is the part before it has layers: one piece, or one for each of its outlines. */
function bare(m: Model, thickness: number): ShownLayer[] {
  const slabs = m.job.part?.slabs ?? []
  if (!slabs.length) return [{ z0: 0, z1: thickness, at: thickness / 2, group: -1, composite: false }]
  return slabs.map((s) => ({ z0: s.bottom_mm * m.view.apart, z1: s.bottom_mm * m.view.apart + s.top_mm - s.bottom_mm, at: (s.bottom_mm + s.top_mm) / 2, group: -1, composite: false }))
}

/** A frame in motion draws no more pieces of strand than this: a machine without a graphics card then follows the hand. */
const mostInMotion = 60_000

/** pictureOf says what one frame shows. */
export function pictureOf(m: Model, playing: Playing, inks: Inks, inMotion = false): Picture {
  const { view } = m
  const field = view.show === 'field' && m.shade !== null
  const round = m.camera.tilt > 0
  const layers = shownLayers(m)
  const move = m.mesh ? m.moveScale : 0
  const shade = field ? m.shade : move > 0 ? m.moveShade : null
  const plan = m.job.views?.layers?.[m.topLayer]
  return {
    camera: m.camera,
    inks,
    thickness: m.job.part?.thickness_mm ?? 0,
    layers: round ? layers : [{ z0: 0, z1: 0, at: plan && view.show !== 'outline' ? plan.top_mm - plan.height_mm / 2 : Infinity, group: plan?.group ?? -1, composite: plan?.kind === 'composite' }],
    solid: round,
    coloured: field || shade !== null,
    surface: field || (move > 0 && m.mesh !== null),
    meshLines: m.mesh !== null && (view.show === 'mesh' || view.meshLines),
    crosses: view.show === 'flow',
    strands: m.strands !== null && (view.show === 'strands' || (round && view.show !== 'field' && view.show !== 'program')),
    beads: view.show === 'strands',
    raster: view.show === 'coverage',
    move,
    shape: move > 0 && m.shape !== undefined,
    lo: shade?.lo ?? 0,
    hi: shade?.hi ?? 1,
    bands: view.bands ? 12 : 0,
    strandLo: view.show === 'program' ? playing.lo : (m.strandShade?.lo ?? 0),
    strandHi: view.show === 'program' ? playing.hi : (m.strandShade?.hi ?? 1),
    played: view.show === 'program' ? playing.laid : -1,
    most: inMotion ? mostInMotion : Infinity,
  }
}
