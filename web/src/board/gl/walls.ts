import type { Device } from './device'

const vertex = `
in vec2 aAt; in float aUp; in float aFace;
uniform mat4 uView; uniform float uZ0; uniform float uZ1;
out float vFace;
void main() { vFace = aFace; gl_Position = uView * vec4(aAt, mix(uZ0, uZ1, aUp), 1.0); }`

const fragment = `
in float vFace; out vec4 colour; uniform vec4 uColour; uniform float uYaw;
void main() {
  float light = 0.78 + 0.18 * cos(vFace + uYaw - 2.2);
  colour = vec4(uColour.rgb * light, 1.0);
}`

/** Walls paints the upright faces of closed chains between two heights. */
export class Walls {
  private readonly data: WebGLBuffer
  private readonly count: number

  constructor(
    private readonly device: Device,
    loops: readonly ArrayLike<number>[],
  ) {
    const out: number[] = []
    for (const l of loops) {
      const n = l.length / 2
      for (let i = 0; i < n; i++) {
        const j = (i + 1) % n
        const [ax, ay, bx, by] = [l[2 * i]!, l[2 * i + 1]!, l[2 * j]!, l[2 * j + 1]!]
        const face = Math.atan2(-(bx - ax), by - ay)
        for (const [x, y, up] of [
          [ax, ay, 0],
          [bx, by, 0],
          [bx, by, 1],
          [ax, ay, 0],
          [bx, by, 1],
          [ax, ay, 1],
        ] as const) {
          out.push(x, y, up, face)
        }
      }
    }
    this.count = out.length / 4
    this.data = device.buffer(new Float32Array(out))
  }

  paint(view: Float32Array, z0: number, z1: number, colour: readonly [number, number, number, number], yaw: number): void {
    const gl = this.device.gl
    const p = this.device.program('walls', vertex, fragment)
    p.use()
    p.setMatrix('uView', view)
    p.set('uZ0', z0)
    p.set('uZ1', z1)
    p.set('uYaw', yaw)
    p.set('uColour', ...colour)
    const part = (size: number, offset: number) => ({ buffer: this.data, size, type: gl.FLOAT, offset, stride: 16 })
    p.feed({ aAt: part(2, 0), aUp: part(1, 8), aFace: part(1, 12) })
    gl.drawArrays(gl.TRIANGLES, 0, this.count)
  }

  drop(): void {
    this.device.drop(this.data)
  }
}
