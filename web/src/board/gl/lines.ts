import type { Device } from './device'

const vertex = `
in vec3 aAt; in vec3 aMove;
uniform mat4 uView; uniform float uMove; uniform float uZ;
void main() { gl_Position = uView * vec4(aAt + vec3(0.0, 0.0, uZ) + uMove * aMove, 1.0); }`

const fragment = `
out vec4 colour; uniform vec4 uColour;
void main() { colour = vec4(uColour.rgb * uColour.a, uColour.a); }`

/** Plain paints hairlines or triangles in one colour. */
export class Plain {
  private readonly at: WebGLBuffer
  private move: WebGLBuffer | undefined
  private readonly count: number

  /** xyz holds three coordinates a corner; pairs of corners are lines, threes triangles. */
  constructor(
    private readonly device: Device,
    xyz: Float32Array,
    private readonly kind: 'lines' | 'triangles',
  ) {
    this.at = device.buffer(xyz)
    this.count = xyz.length / 3
  }

  setMove(v: Float32Array | undefined): void {
    this.device.drop(this.move)
    this.move = v && this.device.buffer(v)
  }

  paint(view: Float32Array, colour: readonly [number, number, number, number], move = 0, z = 0): void {
    const gl = this.device.gl
    const p = this.device.program('plain', vertex, fragment)
    p.use()
    p.setMatrix('uView', view)
    p.set('uMove', this.move ? move : 0)
    p.set('uZ', z)
    p.set('uColour', ...colour)
    p.feed({
      aAt: { buffer: this.at, size: 3, type: gl.FLOAT },
      aMove: this.move && { buffer: this.move, size: 3, type: gl.FLOAT },
    })
    gl.drawArrays(this.kind === 'lines' ? gl.LINES : gl.TRIANGLES, 0, this.count)
  }

  drop(): void {
    this.device.drop(this.at, this.move)
  }
}
