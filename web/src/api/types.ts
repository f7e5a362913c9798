/**
 * The interface of the server as the page uses it; docs/format/interface.md
 * says what it means. Names are the server's, and test/contract.test.ts holds
 * them against its OpenAPI document.
 */

export type XY = [number, number]

export interface Fault {
  file?: string
  line?: number
  column?: number
  key?: string
  what: string
  remedy?: string
}

export interface Conflict {
  base_known: boolean
  base_text: string
  your_text: string
  their_text: string
  their_version: string
}

export interface Problem {
  title?: string
  status?: number
  detail?: string
  faults?: Fault[]
  conflict?: Conflict
}

export interface Server {
  version: string
  workspace: string
  single: boolean
  caution: string
}

export interface JobEntry {
  id: string
  name: string
  problem?: string
  part?: string
  verdict?: string
  running: boolean
  changed: string
}

/** Value is what a job file can hold. */
export type Value = string | number | boolean | Value[] | { [key: string]: Value }
export type Table = { [key: string]: Value }

export interface FileState {
  version: string
  text: string
  readable: boolean
  doc: Table | null
  places: { [key: string]: [number, number] }
  faults: Fault[]
  undo?: string
  redo?: string
}

export type Edit =
  | { op: 'set'; key: string; value: Value }
  | { op: 'remove'; key: string }
  | { op: 'insert'; key: string; at?: number; table: Table }
  | { op: 'move'; key: string; to: number }
  | { op: 'copy'; key: string; to?: number }
  | { op: 'rename'; key?: string; from?: string; value: string }

export interface EditEntry {
  label: string
  when: string
  changes: { file: string; before: string; after: string }[] | null
  outside?: boolean
}

export interface Edge {
  kind: 'line' | 'arc'
  a: XY
  b: XY
  mid: XY
  radius_mm?: number
  center?: XY
  layer?: string
}

export interface Loop {
  points: XY[]
  area_mm2: number
  edges: Edge[] | null
}

export interface Feature {
  name: string
  kind: 'hole' | 'side'
  loop: number
  edges: number[]
  x_mm: number
  y_mm: number
  diameter_mm: number
  length_mm: number
  key?: string
}

export interface Pick {
  kind: 'hole' | 'side'
  loop: number
  edge: number
  feature?: string
  table: Table
}

export interface Support {
  key: string
  feature: string
  how: string
  angle_deg: number
  x_mm: number
  y_mm: number
}

export interface Load {
  key: string
  feature: string
  how: string
  fx: number
  fy: number
  out: number
  size: number
  unit: string
  angle_deg: number
  x_mm: number
  y_mm: number
}

export interface PointLoad {
  key: string
  size: number
  x_mm: number
  y_mm: number
}

export interface LoadCase {
  key: string
  name: string
  factor: number
  acceleration_mm_s2?: XY
  temperature_change_K?: number
  loads: Load[]
  points: PointLoad[]
}

export interface Probe {
  key: string
  name: string
  x_mm: number
  y_mm: number
  feature?: string
  angle_deg: number
}

export interface Family {
  key: string
  name: string
  kind: string
  layers: number
  spacing_mm: number
  angle_deg: number
  /** Of a drawn family: its paths, those of its drawing included; the first of them stand in the job file. */
  paths?: FamilyPath[] | null
  given: number
}

export interface FamilyPath {
  points: XY[] | null
  closed?: boolean
}

/** Slab is a stretch of height over which a stepped part keeps its outline. */
export interface Slab {
  bottom_mm: number
  top_mm: number
  loops: XY[][]
}

export interface PartView {
  version: string
  faults: Fault[] | null
  thickness_mm: number
  area_mm2: number
  box_mm: [number, number, number, number] | null
  notes: string[] | null
  loops: Loop[] | null
  slabs: Slab[] | null
  features: Feature[] | null
  picks: Pick[] | null
  supports: Support[] | null
  cases: LoadCase[] | null
  probes: Probe[] | null
  families: Family[] | null
  stack: {
    covers_bottom: number
    covers_top: number
    composite: number
    order: string[] | null
    height_mm: number
    target_mm: number
    plastic_layer_mm: number
    composite_layer_mm: number
  } | null
  spacing_mm: [number, number] | null
}

export type Stage = 'lay' | 'check' | 'prove' | 'post' | 'run'
export type RunPhase = 'waiting' | 'running' | 'done' | 'failed' | 'cancelled'

export interface Run {
  id: string
  stage: string
  state: RunPhase
  step: string
  share: number
  elapsed_s: number
  left_s?: number
  arrived: string[] | null
  error?: string
  faults?: Fault[] | null
  verdict?: string
}

export interface Margin {
  case?: string
  mode: string
  reserve_factor: number
  reserve_factor_of_peak?: number
  x_mm: number
  y_mm: number
  composite_layer: number
  layer_angle_deg: number
  feature?: string
  knock_down: number
  knock_down_of?: string
  stress_MPa?: [number, number, number]
  allowable_MPa?: number[] | null
}

export interface DesignCase {
  case: string
  stiffness_N_mm: number
  margins: Margin[] | null
  by_notch_rule?: NotchRule[] | null
  joints?: Joint[] | null
  collapse?: Collapse
}

export interface NotchRule {
  rule: string
  fibre?: number
  matrix?: number
  least: number
  least_by: string
}

export interface Joint {
  feature: string
  force_N: number
  direction_deg: number
  width_mm: number
  edge_distance_mm: number
  checks: { check: string; stress_MPa: number; strength_MPa: number; reserve_factor: number }[] | null
  finite_elements?: Margin
}

export interface Collapse {
  first_fibre?: number
  first_matrix?: number
  collapse: number
  cracked_share: number
  broken_share: number
  ended: string
  curve: XY[] | null
}

/** Strength says how failure was judged, and what lies behind the margins of the print. */
export interface Strength {
  notch_rule: string
  criterion: string
  knock_downs: { id: string; title: string; fibre_tension: number; fibre_compression: number; matrix: number; interlaminar: number; stiffness: number; source: string }[] | null
  criteria: CriterionSays[] | null
  criteria_at_governing?: CriterionSays[] | null
  strand_ends?: { length_needed_mm: number; stress_MPa: number; x_mm: number; y_mm: number; composite_layer: number; case: string; reserve_factor?: number }
  stacks: Laminate[] | null
  cool_down_K: number
}

export interface CriterionSays {
  criterion: string
  fails: string
  margin: Margin
  fracture_angle_deg: number
}

/** Laminate is the pile of layers at one place by classical laminate theory; terms 11, 12, 16, 22, 26, 66. */
export interface Laminate {
  why: string
  x_mm: number
  y_mm: number
  Ex_MPa: number
  Ey_MPa: number
  Gxy_MPa: number
  nuxy: number
  couplings: string
  bow_mm: number
  span_mm: number
  A_N_mm?: number[]
  B_N?: number[]
  D_N_mm?: number[]
  thermal_force_N_mm_K?: number[]
  thermal_moment_N_K?: number[]
}

export interface Design {
  id?: string
  name: string
  mass_g: number
  fibre_length_m: number
  time_s?: number
  cost?: number
  stiffness_N_mm: number
  governing?: Margin
  cases: DesignCase[] | null
  note?: string
}

export interface Finding {
  id: string
  severity: 'note' | 'warn' | 'stop'
  layer: number
  x_mm: number
  y_mm: number
  count: number
  what: string
  remedy: string
  allowed?: boolean
}

export interface FigureOf {
  property: string
  value: number
  unit: string
  how: string
  source: string
  date?: string
}

/** The bead by one method of micromechanics. */
export interface BeadMethod {
  method: string
  E1_MPa: number
  E2_MPa: number
  G12_MPa: number
  G23_MPa: number
  nu12: number
}

/** What the job's bead is worth, and the distance that gives a wanted figure. */
export interface BeadAnswer {
  bead: Bead
  least_spacing_mm: number
  greatest_spacing_mm: number
  at_least_spacing: Bead
  reverse: { wanted: string; spacing_mm: number; bead: Bead }[]
  plastic_within_its_limit: boolean
  plastic_limit?: string
  notes: string[]
}

export interface Bead {
  spacing_mm: number
  height_mm: number
  tow_share: number
  dry_fibre_share: number
  thermoset_share: number
  plastic_share: number
  void_share: number
  dry_fibre_mass_share: number
  plastic_mm3_per_mm: number
  density_g_cm3: number
  E1_MPa: number
  E2_MPa: number
  G12_MPa: number
  nu12: number
  Xt_MPa: number
  Xc_MPa: number
  Yt_MPa: number
  Yc_MPa: number
  S_MPa: number
  compression: { name: string; stress_MPa: number }[]
  methods: BeadMethod[]
  bounds: { property: string; low: number; high: number }[]
  figures: FigureOf[]
}

export interface LayerRecord {
  index: number
  kind: 'plastic' | 'composite'
  family?: string
  top_mm: number
  height_mm: number
  strands: number
  strand_length_mm: number
}

export interface ProbeRecord {
  name: string
  case: string
  displacement_mm: XY
  strain_along?: number
  stress_MPa?: [number, number, number]
  reaction_N?: XY
  on_feature: boolean
}

export interface Program {
  file: string
  bytes: number
  sha256: string
  time_s: number
  length_m: number
  plastic_g: number
  tow_g: number
  cuts: number
  tool_swaps: number
  cost: number
  cost_parts: { what: string; cost: number }[] | null
  copies?: number
  time_each_s?: number
  cost_each?: number
  energy_kWh?: number
  times?: { what: string; time_s: number }[] | null
  tow_used_m?: number
  plastic_of_nozzle_g?: XY
  spool_changes?: { what: string; nozzle: string; layer: number; before: number; time_s: number }[] | null
  read_back: { strands: number; cuts: number; worst_length_difference_mm: number; plastic_volume_difference_share: number; agrees: boolean }
}

/** Plate is the part as printed, as a plate that bends. */
export interface Plate {
  cases: PlateCase[]
  frequencies_Hz?: number[]
  warp?: { cooling_K: number; height_mm: number; height_by_large_deflections_mm?: number; matrix_index_of_locked_stress: number }
}

export interface PlateCase {
  case: string
  judged_as_plate: boolean
  greatest_deflection_mm: number
  x_mm: number
  y_mm: number
  energy_error_share: number
  buckling_factors?: number[]
  large?: { reaches_required_load: boolean; load_factor: number; greatest_deflection_mm: number }
  probes?: { name: string; across_mm: number; strain_bottom?: number; strain_top?: number }[]
}

/** Rec is out/result.json. */
export interface Rec {
  job: string
  input_hash: string
  version: string
  inputs: { name: string; kind: string; title?: string; sha256: string }[]
  part: {
    thickness_mm: number
    area_mm2: number
    box_mm: [number, number, number, number]
    features: { name: string; kind: string; x_mm: number; y_mm: number; diameter_mm?: number; length_mm: number }[]
    notes?: string[]
  }
  bead?: Bead
  layup?: { layers: LayerRecord[]; mix?: Mix; refinement?: Refinement; first_guesses?: FirstGuess[]; notes?: string[] }
  cases: { name: string; factor: number; imbalance: number; residual: number; reactions: [number, number, number][] | null }[]
  equations?: { unknowns: number; factor_bytes: number; iterated: boolean; condition: number }
  designs: Design[]
  strength?: Strength
  plate?: Plate
  ratios: { against: string; case: string; first_fibre_failure: number; first_matrix_failure: number; stiffness: number; first_fibre_failure_per_mass: number }[]
  strands?: {
    count: number
    cuts: number
    length_m: number
    shortest_mm: number
    min_radius_mm: number
    spacing_min_mm: number
    spacing_max_mm: number
    spacing_within_limits_share: number
  }
  findings: Finding[]
  probes: ProbeRecord[]
  program?: Program
  verdict?: { passes: boolean; reasons: string[] | null }
  warnings: string[]
}

export interface RunRecord {
  command: string
  started: string
  seconds_by_stage: { [stage: string]: number }
  stages_reused: string[] | null
  workers: number
}

export interface Result {
  record: Rec
  run: RunRecord
  fresh: boolean
}

export interface Quick {
  input_hash: string
  strands_of: string
  designs: Design[]
  cases: Rec['cases']
  probes: ProbeRecord[] | null
  shortfalls: string[] | null
  seconds: number
  note: string
}

export interface ViewLayer {
  index: number
  kind: 'plastic' | 'composite'
  family?: string
  /** Into groups; -1 for plastic. */
  group: number
  composite: number
  top_mm: number
  height_mm: number
  strands: number
  strand_length_mm: number
}

export interface FieldInfo {
  id: string
  title: string
  unit: string
  diverges: boolean
  needs: string[] | null
}

/** ShapeInfo is a way in which the part as printed stands as a plate. */
export interface ShapeInfo {
  id: string
  title: string
  /** Of what load case; -1: of none. */
  case: number
  value: number
  unit: string
}

export interface Views {
  input_hash: string
  has: string[] | null
  cases: string[] | null
  designs: string[] | null
  layers: ViewLayer[] | null
  groups: { family: string; layers: number[] }[] | null
  fields: FieldInfo[] | null
  shapes: ShapeInfo[] | null
  triangles: number
  nodes: number
  height_mm: number
}

export interface AtPoint {
  inside: boolean
  triangle: number
  displacement_mm: XY
  stress_MPa: [number, number, number]
  s1_MPa: number
  s2_MPa: number
  angle_deg: number
  layers: LayerHere[] | null
}

export interface LayerHere {
  composite_layers: number[] | null
  covered: boolean
  angle_deg: number
  spacing_mm: number
  tow_share: number
  strand_stress_MPa: number
  reserves: { mode: string; reserve_factor: number }[] | null
}

export interface SectionPlot {
  title: string
  unit: string
  s_mm: number[] | null
  values: (number | null)[] | null
}

export interface StrandPlot {
  s_mm: number[] | null
  x_mm: number[] | null
  y_mm: number[] | null
  width_mm: number[] | null
  radius_mm: number[] | null
  tow_share: number[] | null
  stress_MPa?: number[] | null
  use?: number[] | null
}

export interface DesignBrief {
  name: string
  mass_g: number
  fibre_length_m: number
  time_s: number
  cost: number
  stiffness_N_mm: number
  reserve_factor: number
  mode: string
  case: string
}

export interface HistoryEntry {
  id: string
  when: string
  stage: string
  input_hash: string
  verdict: string
  designs: DesignBrief[] | null
  changed: Change[] | null
}

export interface Change {
  key: string
  before: string
  after: string
}

export interface HistoryRun {
  id: string
  when: string
  record: Rec
  run: RunRecord
  text: string
  strands_svg?: string
}

export interface CardEntry {
  kind: string
  id: string
  title: string
  version: string
  origin: 'built-in' | 'own'
  /** Version of the built-in card that an own one stands in for. */
  over?: string
  sha256: string
  values: number
}

export interface Card extends CardEntry {
  note?: string
  card_values: { key: string; is: string; source: string; date?: string }[]
  text: string
  text_version: string
  editable: boolean
  faults: Fault[] | null
}

/** What the search for the layer mix found; objectives are lower when better. */
export interface Mix {
  goal: string
  tried: number
  candidates: string[]
  left_out?: string[]
  objective_at_start: number
  steps: { from: string[]; to: string[]; objective: number; reserve: number; governing: string }[]
  best: { layers: { family: string; layers: number }[]; objective: number; reserve: number; governing: string }[]
  order?: { tried: number; objective: number[]; order: string[] }
}

/** How the refinement went, the least-squares answer first. */
export interface Refinement {
  objective: number[]
  kept: number
  turning: number
}

/** Where the strands of a steered family come from. */
export interface FirstGuess {
  family: string
  kept: string
  tried: { guess: string; measure?: number }[]
  drawn?: { guess: string; length_mm: number; objective: number; kept?: boolean }[]
}

export interface Curve {
  title: string
  x: { name: string; unit: string }
  y: { name: string; unit: string }
  series: Series[]
}

export interface Series {
  name: string
  x: number[]
  y: number[]
}
