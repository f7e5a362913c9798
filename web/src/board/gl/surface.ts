import type { Device } from './device'

/** nothing marks a corner without a value; not a number does not survive every graphics card. */
export const nothing = -3e38

const vertex = `
in vec2 aAt; in vec3 aMove; in float aValue;
uniform mat4 uView; uniform float uMove; uniform float uZ;
out float vValue;
void main() {
  vValue = aValue;
  gl_Position = uView * vec4(vec3(aAt, uZ) + uMove * aMove, 1.0);
}`

const fragment = `
in float vValue; out vec4 colour;
uniform sampler2D uRamp; uniform float uLo; uniform float uHi; uniform float uBands; uniform float uAlpha; uniform vec4 uPlain;
void main() {
  vec3 c = uPlain.rgb; float a = uPlain.a;
  if (vValue > -1e38) {
    float t = clamp((vValue - uLo) / max(uHi - uLo, 1e-30), 0.0, 1.0);
    if (uBands > 0.5) t = (min(floor(t * uBands), uBands - 1.0) + 0.5) / uBands;
    c = texture(uRamp, vec2(t, 0.5)).rgb; a = uAlpha;
  }
  colour = vec4(c * a, a);
}`

export interface SurfaceLook {
  view: Float32Array
  /** Displacements are shown this many times their size. */
  move: number
  z: number
  ramp: WebGLTexture
  lo: number
  hi: number
  bands: number
  alpha: number
  /** Values are shown; else all is plain. */
  coloured: boolean
  /** Colour where there is no value; alpha 0 leaves it out. */
  plain: readonly [number, number, number, number]
}

/** Surface paints triangles, each corner with a value of its own. */
export class Surface {
  private readonly at: WebGLBuffer
  private move: WebGLBuffer | undefined
  private value: WebGLBuffer | undefined

  constructor(
    private readonly device: Device,
    corners: Float32Array,
    private readonly count: number,
  ) {
    this.at = device.buffer(corners)
  }

  setValues(v: Float32Array | undefined): void {
    this.device.drop(this.value)
    this.value = v && this.device.buffer(v)
  }

  setMove(v: Float32Array | undefined): void {
    this.device.drop(this.move)
    this.move = v && this.device.buffer(v)
  }

  paint(look: SurfaceLook): void {
    const gl = this.device.gl
    const value = look.coloured ? this.value : undefined
    const p = this.device.program('surface', vertex, fragment)
    p.use()
    p.setMatrix('uView', look.view)
    p.set('uMove', this.move ? look.move : 0)
    p.set('uZ', look.z)
    p.setTexture('uRamp', look.ramp)
    p.set('uLo', look.lo)
    p.set('uHi', look.hi)
    p.set('uBands', look.bands)
    p.set('uAlpha', look.alpha)
    p.set('uPlain', ...look.plain)
    p.feed({
      aAt: { buffer: this.at, size: 2, type: gl.FLOAT },
      aMove: this.move && { buffer: this.move, size: 3, type: gl.FLOAT },
      aValue: value && { buffer: value, size: 1, type: gl.FLOAT },
    })
    if (!value) p.constant('aValue', nothing)
    gl.drawArrays(gl.TRIANGLES, 0, this.count)
  }

  drop(): void {
    this.device.drop(this.at, this.move, this.value)
  }
}
