import { plastics, table, type Ramp } from '../lib/ramp'
import { matrix, isPlan, type Camera } from './camera'
import { pointRange, type Strands } from './data'
import { Device } from './gl/device'
import { Fill } from './gl/fill'
import { Plain } from './gl/lines'
import type { Raster } from './gl/raster'
import { Ribbons } from './gl/ribbons'
import { nothing, Surface } from './gl/surface'
import { Walls } from './gl/walls'
import { corners, perCorner, perNode, sides, type MeshData } from './meshdata'

export type RGBA = readonly [number, number, number, number]

const faded = (c: RGBA, alpha: number): RGBA => [c[0], c[1], c[2], alpha]

/** Colours of the board, from the style sheet. */
export interface Inks {
  line: RGBA
  faint: RGBA
  body: RGBA
  plastic: RGBA
  bad: RGBA
  good: RGBA
}

/** One printed layer as the board shows it. */
export interface ShownLayer {
  z0: number
  z1: number
  /** A height within it, in the part as it is. */
  at: number
  /** Whose strands it holds; -1: none. */
  group: number
  composite: boolean
}

/** Picture says what one frame shows. */
export interface Picture {
  camera: Camera
  inks: Inks
  thickness: number
  /** Layers to draw, lowest first; the top one is seen whole. */
  layers: readonly ShownLayer[]
  solid: boolean
  surface: boolean
  /** The surface carries values; else it is plain. */
  coloured: boolean
  meshLines: boolean
  crosses: boolean
  strands: boolean
  beads: boolean
  raster: boolean
  move: number
  /** The part is shown in a shape as a plate. */
  shape: boolean
  lo: number
  hi: number
  bands: number
  strandLo: number
  strandHi: number
  /** How many pieces of the playback's path are laid; negative: none of it is shown. */
  played: number
  /** Of a frame in motion, how many pieces of strand it may draw; of one at rest, all. */
  most: number
}

/** Outline is what closes the part up to a height: chains of x, y. */
export interface Outline {
  top: number
  loops: readonly (readonly number[])[]
}

interface Slab {
  top: number
  fill: Fill
  walls: Walls
  line: Ribbons
}

/** Scene holds what was sent to the graphics card, and paints pictures of it. */
export class Scene {
  readonly device: Device
  private slabs: Slab[] = []
  private surface: Surface | undefined
  private meshLines: Plain | undefined
  private meshSides: Uint32Array | undefined
  private crosses: Plain | undefined
  private ribbons: Ribbons | undefined
  private ranges = new Map<number, [number, number]>()
  private plastic: Ribbons | undefined
  private played: Ribbons | undefined
  raster: Raster | undefined
  private mesh: MeshData | undefined
  private readonly ramps = new Map<string, WebGLTexture>()
  private fieldRamp: WebGLTexture
  private strandRamp: WebGLTexture
  private beadRamp: WebGLTexture

  constructor(canvas: HTMLCanvasElement) {
    this.device = new Device(canvas)
    this.fieldRamp = this.device.texture(new Uint8Array([128, 128, 128, 255]), true)
    this.strandRamp = this.fieldRamp
    this.beadRamp = this.fieldRamp
  }

  setOutline(slabs: readonly Outline[]): void {
    for (const s of this.slabs) for (const painter of [s.fill, s.walls, s.line]) painter.drop()
    this.slabs = slabs.map(({ loops, top }) => {
      const start = [0]
      const points: number[] = []
      for (const l of loops) {
        points.push(...l, l[0]!, l[1]!)
        start.push(points.length / 2)
      }
      const line = new Ribbons(this.device, { points: new Float32Array(points), start: Uint32Array.from(start) }, new Float32Array(points.length / 2))
      return { top, fill: new Fill(this.device, loops), walls: new Walls(this.device, loops), line }
    })
  }

  /** slabAt is the stretch of height that a height lies in: of a part that keeps its outline the only one. */
  private slabAt(z: number): Slab | undefined {
    return this.slabs.find((s) => z < s.top) ?? this.slabs.at(-1)
  }

  setMesh(m: MeshData): void {
    this.surface?.drop()
    this.meshLines?.drop()
    this.mesh = m
    this.surface = new Surface(this.device, corners(m), m.painted.length)
    this.meshLines = undefined
  }

  private lines(): Plain | undefined {
    if (this.meshLines || !this.mesh) return this.meshLines
    const s = (this.meshSides = sides(this.mesh))
    const xyz = new Float32Array(3 * s.length)
    for (let i = 0; i < s.length; i++) {
      xyz[3 * i] = this.mesh.nodes[2 * s[i]!]!
      xyz[3 * i + 1] = this.mesh.nodes[2 * s[i]! + 1]!
    }
    return (this.meshLines = new Plain(this.device, xyz, 'lines'))
  }

  setField(values: Float32Array | undefined, ramp: Ramp): void {
    this.surface?.setValues(values && this.mesh ? perCorner(this.mesh, values, nothing) : undefined)
    this.fieldRamp = this.ramp(ramp.name, () => table(ramp), true)
  }

  /** setNodes colours the surface by one value a node. */
  setNodes(values: Float32Array, ramp: Ramp): void {
    if (this.mesh) this.surface?.setValues(perNode(this.mesh, values, 1))
    this.fieldRamp = this.ramp(ramp.name, () => table(ramp), true)
  }

  /** setMove takes three numbers a node: along x, y and z. */
  setMove(u: Float32Array | undefined): void {
    if (!this.mesh) return
    this.surface?.setMove(u && perNode(this.mesh, u, 3))
    const lines = this.lines()
    if (!u || !this.meshSides) return lines?.setMove(undefined)
    const s = this.meshSides
    const out = new Float32Array(3 * s.length)
    for (let i = 0; i < s.length; i++) for (let k = 0; k < 3; k++) out[3 * i + k] = u[3 * s[i]! + k]!
    lines?.setMove(out)
  }

  setStrands(s: Strands | undefined): void {
    this.ribbons?.drop()
    this.ribbons = s && new Ribbons(this.device, s, s.width)
    this.ranges.clear()
    if (s) for (let g = 0; g < s.groups.length; g++) this.ranges.set(g, pointRange(s, g))
  }

  setStrandValues(v: Float32Array | undefined, key: string, texels: () => Uint8Array, smooth: boolean): void {
    this.ribbons?.setValues(v)
    this.strandRamp = this.ramp(`strand ${key}`, texels, smooth)
  }

  setCrosses(xyz: Float32Array | undefined): void {
    this.crosses?.drop()
    this.crosses = xyz && new Plain(this.device, xyz, 'lines')
  }

  setBeads(points: Float32Array, start: Uint32Array, width: Float32Array, kind: Float32Array): void {
    this.plastic?.drop()
    this.plastic = new Ribbons(this.device, { points, start }, width)
    this.plastic.setValues(kind)
  }

  setBeadInks(key: string, texels: () => Uint8Array): void {
    this.beadRamp = this.ramp(key, texels, false)
  }

  setPlayed(points: Float32Array, start: Uint32Array, width: Float32Array, values: Float32Array): void {
    this.played?.drop()
    this.played = new Ribbons(this.device, { points, start }, width)
    this.played.setValues(values)
  }

  setRaster(r: Raster | undefined): void {
    this.raster?.drop()
    this.raster = r
  }

  private ramp(name: string, make: () => Uint8Array, smooth: boolean): WebGLTexture {
    let t = this.ramps.get(name)
    if (!t) this.ramps.set(name, (t = this.device.texture(make(), smooth)))
    return t
  }

  paint(p: Picture): void {
    const gl = this.device.gl
    const ratio = gl.canvas.width / Math.max(1, p.camera.width)
    gl.viewport(0, 0, gl.canvas.width, gl.canvas.height)
    gl.clearColor(0, 0, 0, 0)
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT | gl.STENCIL_BUFFER_BIT)
    const view = matrix(p.camera)
    if (isPlan(p.camera)) this.paintPlan(p, view, ratio)
    else this.paintSolid(p, view, ratio)
  }

  private paintPlan(p: Picture, view: Float32Array, ratio: number): void {
    const gl = this.device.gl
    gl.disable(gl.DEPTH_TEST)
    const top = p.layers[p.layers.length - 1]
    const slab = this.slabAt(top?.at ?? 0)
    if (!p.surface || p.move === 0) {
      if (this.slabs.length > 1) for (const s of this.slabs) s.fill.paint(view, 0, faded(p.inks.body, 0.55))
      slab?.fill.paint(view, 0, p.inks.body)
    }
    if (p.surface) this.paintSurface(p, view, 0)
    if (p.raster) this.raster?.paint(view, 0, p.inks.bad, [...p.inks.plastic.slice(0, 3), 0.55] as unknown as RGBA, p.inks.good)
    if (p.beads) this.plastic?.paint({ ...this.look(p, view, ratio), ramp: this.beadRamp, lo: -0.5, hi: plastics.length - 0.5, share: 0.96 })
    if (p.strands) this.paintGroup(p, view, ratio, top?.group ?? -1, 0)
    this.paintPlayed(p, view, ratio, 0)
    if (p.meshLines) this.lines()?.paint(view, p.inks.faint, p.move)
    if (p.crosses) this.crosses?.paint(view, p.inks.line)
    const look = { ...this.look(p, view, ratio), round: 0 }
    for (const s of this.slabs) if (s !== slab) s.line.paint({ ...look, least: 1 * ratio, plain: p.inks.faint })
    slab?.line.paint({ ...look, least: 1.6 * ratio, plain: p.move > 0 ? p.inks.faint : p.inks.line })
  }

  private paintSolid(p: Picture, view: Float32Array, ratio: number): void {
    const gl = this.device.gl
    gl.enable(gl.DEPTH_TEST)
    gl.depthFunc(gl.LEQUAL)
    const lift = 0.01 // mm: what lies on a face is drawn this much above it
    if (p.shape) {
      this.paintShape(p, view, ratio)
      gl.disable(gl.DEPTH_TEST)
      return
    }
    const open = (i: number) => {
      const [layer, above] = [p.layers[i]!, p.layers[i + 1]]
      return !above || above.z0 > layer.z1 + lift || this.slabAt(above.at) !== this.slabAt(layer.at)
    }
    const seen = p.layers.reduce((n, layer, i) => n + (open(i) ? this.pieces(layer.group) : 0), 0)
    const every = Math.ceil(seen / p.most)
    p.layers.forEach((layer, i) => {
      const top = i === p.layers.length - 1
      const slab = this.slabAt(layer.at)
      const shade = layer.composite ? 0.9 : 1
      const tint: RGBA = [p.inks.plastic[0] * shade, p.inks.plastic[1] * shade, p.inks.plastic[2] * shade, 1]
      slab?.walls.paint(view, layer.z0, layer.z1, tint, p.camera.yaw)
      if (!open(i)) return
      const z = layer.z1
      if (p.surface && top) this.paintSurface(p, view, z)
      else slab?.fill.paint(view, z, tint)
      if (p.strands) this.paintGroup(p, view, ratio, layer.group, z + lift, every)
      if (top && p.meshLines) this.lines()?.paint(view, p.inks.faint, p.move)
      slab?.line.paint({ ...this.look(p, view, ratio), z: z + 2 * lift, least: 1.2 * ratio, plain: p.inks.line, round: 0 })
    })
    const last = p.layers[p.layers.length - 1]
    this.paintPlayed(p, view, ratio, (last?.z1 ?? 0) + lift)
    gl.disable(gl.DEPTH_TEST)
  }

  /** paintShape shows the part as the plate that was worked out: its middle face moved, over where it lay. */
  private paintShape(p: Picture, view: Float32Array, ratio: number): void {
    const z = p.thickness / 2
    for (const s of this.slabs) s.line.paint({ ...this.look(p, view, ratio), z, least: 1.2 * ratio, plain: p.inks.faint, round: 0 })
    this.paintSurface(p, view, z)
    if (p.meshLines) this.lines()?.paint(view, p.inks.faint, p.move, z + 0.02)
  }

  private paintSurface(p: Picture, view: Float32Array, z: number): void {
    this.surface?.paint({ view, move: p.move, z, ramp: this.fieldRamp, lo: p.lo, hi: p.hi, bands: p.bands, alpha: 1, coloured: p.coloured, plain: p.move > 0 ? p.inks.body : [0, 0, 0, 0] })
  }

  private look(p: Picture, view: Float32Array, ratio: number) {
    return {
      view,
      z: 0,
      pxMm: 1 / (p.camera.scale * ratio),
      least: 1,
      share: 0.92,
      ramp: this.strandRamp,
      lo: p.strandLo,
      hi: p.strandHi,
      alpha: 1,
      plain: p.inks.line,
      round: p.camera.scale > 2 ? 0.28 : 0,
    }
  }

  private pieces(group: number): number {
    const range = this.ranges.get(group)
    return range ? range[1] - range[0] : 0
  }

  private paintGroup(p: Picture, view: Float32Array, ratio: number, group: number, z: number, every = 1): void {
    const range = this.ranges.get(group)
    if (range) this.ribbons?.paint({ ...this.look(p, view, ratio), z }, range[0], range[1], every)
  }

  private paintPlayed(p: Picture, view: Float32Array, ratio: number, z: number): void {
    if (p.played >= 0) this.played?.paint({ ...this.look(p, view, ratio), z }, 0, p.played)
  }
}
