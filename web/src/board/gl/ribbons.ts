import type { Device } from './device'
import { nothing } from './surface'

// Each instance is one piece of a path, from point a to point b, with the
// points before and after for its mitres. All four come from one buffer, read
// at four offsets; a flag tells where a path begins and ends.
const vertex = `
in vec2 aBefore; in vec2 aFrom; in vec2 aTo; in vec2 aAfter;
in float aWidthA; in float aWidthB; in float aValueA; in float aValueB; in float aFlagA; in float aFlagB;
uniform mat4 uView; uniform float uZ; uniform float uPxMm; uniform float uLeast; uniform float uShare;
out float vValue; out float vAcross;
const vec2 corner[6] = vec2[6](vec2(0,-1), vec2(1,-1), vec2(1,1), vec2(0,-1), vec2(1,1), vec2(0,1));
vec2 side(vec2 d) { float l = length(d); return l > 0.0 ? vec2(-d.y, d.x) / l : vec2(0.0); }
void main() {
  vec2 k = corner[gl_VertexID];
  bool last = aFlagA > 1.5;
  vec2 here = side(aTo - aFrom);
  bool end = k.x > 0.5;
  vec2 other = end ? (aFlagB > 1.5 ? here : side(aAfter - aTo)) : (mod(aFlagA, 2.0) > 0.5 ? here : side(aFrom - aBefore));
  vec2 mid = here + other; float m = dot(mid, mid);
  vec2 n = m > 0.2 ? mid * (2.0 / m) : here;
  float half_ = 0.5 * max((end ? aWidthB : aWidthA) * uShare, uLeast * uPxMm);
  vec2 at = (end ? aTo : aFrom) + k.y * half_ * n;
  vValue = end ? aValueB : aValueA; vAcross = k.y;
  gl_Position = last ? vec4(2.0, 2.0, 2.0, 1.0) : uView * vec4(at, uZ, 1.0);
}`

const fragment = `
in float vValue; in float vAcross; out vec4 colour;
uniform sampler2D uRamp; uniform float uLo; uniform float uHi; uniform float uAlpha; uniform vec4 uPlain; uniform float uRound;
void main() {
  vec3 c = uPlain.rgb; float a = uPlain.a;
  if (vValue > -1e38) {
    float t = clamp((vValue - uLo) / max(uHi - uLo, 1e-30), 0.0, 1.0);
    c = texture(uRamp, vec2(t, 0.5)).rgb; a = uAlpha;
  }
  float v2 = vAcross * vAcross;
  c *= 1.0 - uRound * v2 * v2;
  colour = vec4(c * a, a);
}`

export interface RibbonLook {
  view: Float32Array
  z: number
  /** mm of the part that one pixel covers. */
  pxMm: number
  /** Least width on the screen, pixels. */
  least: number
  /** Share of the bead's width that is drawn. */
  share: number
  ramp: WebGLTexture
  lo: number
  hi: number
  alpha: number
  plain: readonly [number, number, number, number]
  /** How much the edges of a bead darken, so that neighbours stand apart. */
  round: number
}

/** Paths are chains of points packed into one list; start has one more entry than there are paths. */
export interface Paths {
  readonly points: Float32Array
  readonly start: Uint32Array
}

/** flags marks for each point whether its path begins (1) or ends (2) there. */
export function flags(paths: Paths): Uint8Array {
  const f = new Uint8Array(paths.points.length / 2)
  for (let i = 0; i + 1 < paths.start.length; i++) {
    const [from, to] = [paths.start[i]!, paths.start[i + 1]!]
    if (to <= from) continue
    f[from]! |= 1
    f[to - 1]! |= 2
  }
  return f
}

/** padded copies a list with room for the points before the first and after the last. */
function padded(data: Float32Array, items: number): Float32Array {
  const out = new Float32Array(data.length + 3 * items)
  out.set(data, items)
  return out
}

/** No stride may be longer than 255 bytes (WebGL 1.0, section 6.6), and a point takes eight. */
const widestStep = 31

/** Ribbons paints paths as beads of their own width. */
export class Ribbons {
  private readonly at: WebGLBuffer
  private readonly width: WebGLBuffer
  private readonly flag: WebGLBuffer
  private value: WebGLBuffer | undefined
  readonly count: number

  constructor(
    private readonly device: Device,
    paths: Paths,
    width: Float32Array,
  ) {
    this.count = paths.points.length / 2
    this.at = device.buffer(padded(paths.points, 2))
    this.width = device.buffer(padded(width, 1))
    const f = flags(paths)
    const wide = new Uint8Array(f.length + 4)
    wide.set(f, 1)
    this.flag = device.buffer(wide)
  }

  setValues(v: Float32Array | undefined): void {
    this.device.drop(this.value)
    this.value = v && this.device.buffer(padded(v, 1))
  }

  /** paint draws the pieces that begin at points from..to, or of these every so many (at most widestStep) alone. */
  paint(look: RibbonLook, from = 0, to = this.count, every = 1): void {
    const step = Math.min(widestStep, Math.max(1, every))
    const n = Math.ceil((Math.min(to, this.count) - from) / step)
    if (n <= 0) return
    const gl = this.device.gl
    const p = this.device.program('ribbons', vertex, fragment)
    p.use()
    p.setMatrix('uView', look.view)
    p.set('uZ', look.z)
    p.set('uPxMm', look.pxMm)
    p.set('uLeast', look.least)
    p.set('uShare', look.share)
    p.setTexture('uRamp', look.ramp)
    p.set('uLo', look.lo)
    p.set('uHi', look.hi)
    p.set('uAlpha', look.alpha)
    p.set('uPlain', ...look.plain)
    p.set('uRound', look.round)
    const pair = (k: number) => ({ buffer: this.at, size: 2, type: gl.FLOAT, offset: 8 * (from + k), stride: 8 * step, divisor: 1 })
    const one = (buffer: WebGLBuffer, k: number) => ({ buffer, size: 1, type: gl.FLOAT, offset: 4 * (from + k), stride: 4 * step, divisor: 1 })
    const flag = (k: number) => ({ buffer: this.flag, size: 1, type: gl.UNSIGNED_BYTE, offset: from + k, stride: step, divisor: 1 })
    p.feed({
      aBefore: pair(0),
      aFrom: pair(1),
      aTo: pair(2),
      aAfter: pair(3),
      aWidthA: one(this.width, 1),
      aWidthB: one(this.width, 2),
      aFlagA: flag(1),
      aFlagB: flag(2),
      aValueA: this.value && one(this.value, 1),
      aValueB: this.value && one(this.value, 2),
    })
    if (!this.value) {
      p.constant('aValueA', nothing)
      p.constant('aValueB', nothing)
    }
    gl.drawArraysInstanced(gl.TRIANGLES, 0, 6, n)
  }

  drop(): void {
    this.device.drop(this.at, this.width, this.flag, this.value)
  }
}
