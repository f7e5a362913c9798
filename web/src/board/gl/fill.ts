import type { Device } from './device'

const vertex = `
in vec2 aAt; uniform mat4 uView; uniform float uZ;
void main() { gl_Position = uView * vec4(aAt, uZ, 1.0); }`

const fragment = `
out vec4 colour; uniform vec4 uColour;
void main() { colour = vec4(uColour.rgb * uColour.a, uColour.a); }`

/**
 * Fill paints the inside of closed chains, holes left out. Each chain is drawn
 * as a fan of triangles that flips the stencil: what was flipped an odd number
 * of times lies inside. No triangulation is needed, so the outline shows the
 * moment it is read.
 */
export class Fill {
  private readonly fans: WebGLBuffer
  private readonly quad: WebGLBuffer
  private readonly count: number

  constructor(
    private readonly device: Device,
    loops: readonly ArrayLike<number>[],
  ) {
    const corners: number[] = []
    let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity]
    for (const l of loops) {
      for (let i = 0; i + 1 < l.length; i += 2) {
        x0 = Math.min(x0, l[i]!)
        x1 = Math.max(x1, l[i]!)
        y0 = Math.min(y0, l[i + 1]!)
        y1 = Math.max(y1, l[i + 1]!)
        if (i >= 4) corners.push(l[0]!, l[1]!, l[i - 2]!, l[i - 1]!, l[i]!, l[i + 1]!)
      }
    }
    this.count = corners.length / 2
    this.fans = device.buffer(new Float32Array(corners))
    this.quad = device.buffer(new Float32Array([x0, y0, x1, y0, x1, y1, x0, y0, x1, y1, x0, y1]))
  }

  paint(view: Float32Array, z: number, colour: readonly [number, number, number, number]): void {
    const gl = this.device.gl
    const p = this.device.program('fill', vertex, fragment)
    p.use()
    p.setMatrix('uView', view)
    p.set('uZ', z)
    p.set('uColour', ...colour)
    const depth = gl.isEnabled(gl.DEPTH_TEST)
    gl.enable(gl.STENCIL_TEST)
    gl.colorMask(false, false, false, false)
    gl.disable(gl.DEPTH_TEST)
    gl.stencilFunc(gl.ALWAYS, 0, 1)
    gl.stencilOp(gl.KEEP, gl.INVERT, gl.INVERT)
    p.feed({ aAt: { buffer: this.fans, size: 2, type: gl.FLOAT } })
    gl.drawArrays(gl.TRIANGLES, 0, this.count)
    gl.colorMask(true, true, true, true)
    if (depth) gl.enable(gl.DEPTH_TEST)
    gl.stencilFunc(gl.EQUAL, 1, 1)
    gl.stencilOp(gl.ZERO, gl.ZERO, gl.ZERO)
    p.feed({ aAt: { buffer: this.quad, size: 2, type: gl.FLOAT } })
    gl.drawArrays(gl.TRIANGLES, 0, 6)
    gl.clear(gl.STENCIL_BUFFER_BIT)
    gl.disable(gl.STENCIL_TEST)
  }

  drop(): void {
    this.device.drop(this.fans, this.quad)
  }
}
