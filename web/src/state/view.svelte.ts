import type { Point } from '../lib/geom'

/** The sections of the sheet, in the order of the argument. */
export const sections = ['part', 'loads', 'materials', 'layup', 'strength', 'printability', 'program', 'price', 'evidence'] as const
export type Section = (typeof sections)[number]

/** What the board can show. */
export const shows = ['outline', 'mesh', 'flow', 'field', 'strands', 'coverage', 'program'] as const
export type Show = (typeof shows)[number]

/** What a strand's colour can say. */
export const inks = ['family', 'use', 'radius', 'share', 'width'] as const
export type Ink = (typeof inks)[number]

/** Places in a layer's height. */
export const faces = ['bottom', 'middle', 'top'] as const
export type Face = (typeof faces)[number]

export type Tool = 'point' | 'measure' | 'cut' | 'probe' | 'draw'

/** What is picked out: on the board, on the sheet and in the stack alike. */
export type Selection =
  | { kind: 'feature'; name: string }
  | { kind: 'edge'; loop: number; edge: number }
  | { kind: 'finding'; index: number }
  | { kind: 'strand'; layer: number; strand: number }
  | { kind: 'drawn'; family: number; path: number }
  | null

const home: Record<Section, Show> = {
  part: 'outline',
  loads: 'outline',
  materials: 'strands',
  layup: 'strands',
  strength: 'field',
  printability: 'coverage',
  program: 'program',
  price: 'strands',
  evidence: 'field',
}

/** View is where the user is looking: it is the page's own and never goes to the server. */
export class View {
  section = $state<Section>('part')
  show = $state<Show>('outline')
  tool = $state<Tool>('point')
  ink = $state<Ink>('family')
  quantity = $state('')
  design = $state(0)
  loadCase = $state(0)
  /** Printed layer, from 0 at the bed; -1 is all of them. */
  layer = $state(-1)
  /** Displacements times this; 0 is off, below 0 as large as reads well. */
  move = $state(0)
  /** The shape as a plate that the part is shown in, by its id; empty: moved in its plane. */
  shape = $state('')
  /** Where in a layer's height stresses are read. */
  face = $state<Face>('middle')
  round = $state(false)
  apart = $state(1)
  meshLines = $state(false)
  findings = $state(true)
  /** Where strands start and where they are cut. */
  ends = $state(false)
  bands = $state(true)
  selection = $state.raw<Selection>(null)
  /** The section line, part coordinates. */
  cut = $state.raw<[Point, Point] | null>(null)
  /** Findings that the next run lets pass, by id. */
  allowed = $state.raw<string[]>([])
  /** A place the board should bring into view. */
  goal = $state.raw<Point | null>(null)

  /** stand shows the part in one of its shapes as a plate; an empty one lays it flat. */
  stand(id: string, loadCase = this.loadCase): void {
    this.shape = id
    this.loadCase = loadCase
    this.show = 'outline'
    this.move = id ? -1 : 0
    this.round = id !== ''
  }

  /** take puts a section in hand: the board turns to what it is about. */
  take(s: Section): void {
    if (s === this.section) return
    this.section = s
    this.show = home[s]
    this.ink = s === 'materials' ? 'share' : 'family'
    this.tool = 'point'
  }
}
