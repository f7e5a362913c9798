import type { Device } from './device'

const vertex = `
in vec2 aAt; uniform mat4 uView; uniform float uZ; uniform vec4 uBox;
out vec2 vAt;
void main() { vAt = aAt; gl_Position = uView * vec4(mix(uBox.xy, uBox.zw, aAt), uZ, 1.0); }`

const fragment = `
in vec2 vAt; out vec4 colour;
uniform sampler2D uRamp; uniform vec4 uGap; uniform vec4 uOne; uniform vec4 uTwo;
void main() {
  float n = floor(texture(uRamp, vAt).r * 255.0 + 0.5);
  vec4 c = n > 254.5 ? vec4(0.0) : n < 0.5 ? uGap : n < 1.5 ? uOne : uTwo;
  colour = vec4(c.rgb * c.a, c.a);
}`

type RGBA = readonly [number, number, number, number]

/** Raster paints how many beads lie over each cell of a layer: none, one, or more. */
export class Raster {
  private readonly quad: WebGLBuffer
  private readonly texture: WebGLTexture

  constructor(
    private readonly device: Device,
    cells: Uint8Array,
    nx: number,
    ny: number,
    private readonly box: RGBA,
  ) {
    const gl = device.gl
    this.quad = device.buffer(new Float32Array([0, 0, 1, 0, 1, 1, 0, 0, 1, 1, 0, 1]))
    this.texture = gl.createTexture()
    gl.bindTexture(gl.TEXTURE_2D, this.texture)
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1)
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.R8, nx, ny, 0, gl.RED, gl.UNSIGNED_BYTE, cells)
    for (const [what, how] of [
      [gl.TEXTURE_MIN_FILTER, gl.NEAREST],
      [gl.TEXTURE_MAG_FILTER, gl.NEAREST],
      [gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE],
      [gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE],
    ] as const) {
      gl.texParameteri(gl.TEXTURE_2D, what, how)
    }
  }

  paint(view: Float32Array, z: number, gap: RGBA, one: RGBA, two: RGBA): void {
    const gl = this.device.gl
    const p = this.device.program('raster', vertex, fragment)
    p.use()
    p.setMatrix('uView', view)
    p.set('uZ', z)
    p.set('uBox', ...this.box)
    p.set('uGap', ...gap)
    p.set('uOne', ...one)
    p.set('uTwo', ...two)
    p.setTexture('uRamp', this.texture)
    p.feed({ aAt: { buffer: this.quad, size: 2, type: gl.FLOAT } })
    gl.drawArrays(gl.TRIANGLES, 0, 6)
  }

  drop(): void {
    this.device.drop(this.quad)
    this.device.gl.deleteTexture(this.texture)
  }
}
