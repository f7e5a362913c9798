/**
 * A thin layer over WebGL 2: programs, buffers and ramp textures, no scene.
 * What is drawn is said anew in each frame, by the painters beside this file.
 */

export type Attribute = { buffer: WebGLBuffer; size: number; type: number; offset?: number; stride?: number; normalized?: boolean; divisor?: number }

export class Device {
  readonly gl: WebGL2RenderingContext
  private readonly programs = new Map<string, Program>()
  private readonly arrays: WebGLVertexArrayObject

  constructor(canvas: HTMLCanvasElement) {
    const gl = canvas.getContext('webgl2', { antialias: true, stencil: true, alpha: true, premultipliedAlpha: true, powerPreference: 'high-performance' })
    if (!gl) throw new Error('this browser offers no WebGL 2; the board cannot be drawn')
    this.gl = gl
    this.arrays = gl.createVertexArray()
    gl.bindVertexArray(this.arrays)
    gl.enable(gl.BLEND)
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA)
  }

  /** renderer names what draws, for measurements. */
  get renderer(): string {
    const info = this.gl.getExtension('WEBGL_debug_renderer_info')
    return String(this.gl.getParameter(info ? info.UNMASKED_RENDERER_WEBGL : this.gl.RENDERER))
  }

  /** whenPainted calls back once the card has finished all that it was asked so far. */
  whenPainted(done: () => void): void {
    const gl = this.gl
    const fence = gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0)
    if (!fence) return
    gl.flush()
    const look = (): void => {
      if (gl.isContextLost()) return
      if (gl.getSyncParameter(fence, gl.SYNC_STATUS) === gl.SIGNALED) {
        gl.deleteSync(fence)
        done()
      } else setTimeout(look, 4)
    }
    setTimeout(look, 0)
  }

  program(name: string, vertex: string, fragment: string): Program {
    let p = this.programs.get(name)
    if (!p) {
      p = new Program(this.gl, name, vertex, fragment)
      this.programs.set(name, p)
    }
    return p
  }

  buffer(data: AllowSharedBufferSource, dynamic = false): WebGLBuffer {
    const b = this.gl.createBuffer()
    this.gl.bindBuffer(this.gl.ARRAY_BUFFER, b)
    this.gl.bufferData(this.gl.ARRAY_BUFFER, data, dynamic ? this.gl.DYNAMIC_DRAW : this.gl.STATIC_DRAW)
    return b
  }

  refill(b: WebGLBuffer, data: AllowSharedBufferSource): void {
    this.gl.bindBuffer(this.gl.ARRAY_BUFFER, b)
    this.gl.bufferData(this.gl.ARRAY_BUFFER, data, this.gl.DYNAMIC_DRAW)
  }

  drop(...buffers: (WebGLBuffer | undefined)[]): void {
    for (const b of buffers) if (b) this.gl.deleteBuffer(b)
  }

  /** texture holds one row of RGBA texels. */
  texture(texels: Uint8Array, smooth: boolean): WebGLTexture {
    const gl = this.gl
    const t = gl.createTexture()
    gl.bindTexture(gl.TEXTURE_2D, t)
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, texels.length / 4, 1, 0, gl.RGBA, gl.UNSIGNED_BYTE, texels)
    const filter = smooth ? gl.LINEAR : gl.NEAREST
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, filter)
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MAG_FILTER, filter)
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE)
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE)
    return t
  }
}

/** Program is a linked pair of shaders with its uniforms by name. */
export class Program {
  private readonly handle: WebGLProgram
  private readonly uniforms = new Map<string, WebGLUniformLocation | null>()
  private readonly attributes = new Map<string, number>()

  constructor(
    private readonly gl: WebGL2RenderingContext,
    name: string,
    vertex: string,
    fragment: string,
  ) {
    const handle = gl.createProgram()
    for (const [type, source] of [
      [gl.VERTEX_SHADER, vertex],
      [gl.FRAGMENT_SHADER, fragment],
    ] as const) {
      const s = gl.createShader(type)!
      gl.shaderSource(s, `#version 300 es\nprecision highp float;\n${source}`)
      gl.compileShader(s)
      if (!gl.getShaderParameter(s, gl.COMPILE_STATUS) && !gl.isContextLost()) throw new Error(`board: shader ${name}: ${gl.getShaderInfoLog(s)}`)
      gl.attachShader(handle, s)
    }
    gl.linkProgram(handle)
    if (!gl.getProgramParameter(handle, gl.LINK_STATUS) && !gl.isContextLost()) throw new Error(`board: program ${name}: ${gl.getProgramInfoLog(handle)}`)
    this.handle = handle
  }

  use(): void {
    this.gl.useProgram(this.handle)
  }

  private at(name: string): WebGLUniformLocation | null {
    if (!this.uniforms.has(name)) this.uniforms.set(name, this.gl.getUniformLocation(this.handle, name))
    return this.uniforms.get(name) ?? null
  }

  set(name: string, ...v: number[]): void {
    const at = this.at(name)
    if (v.length === 1) this.gl.uniform1f(at, v[0]!)
    else if (v.length === 2) this.gl.uniform2f(at, v[0]!, v[1]!)
    else if (v.length === 3) this.gl.uniform3f(at, v[0]!, v[1]!, v[2]!)
    else this.gl.uniform4f(at, v[0]!, v[1]!, v[2]!, v[3]!)
  }

  setMatrix(name: string, m: Float32Array): void {
    this.gl.uniformMatrix4fv(this.at(name), false, m)
  }

  setTexture(name: string, t: WebGLTexture): void {
    this.gl.activeTexture(this.gl.TEXTURE0)
    this.gl.bindTexture(this.gl.TEXTURE_2D, t)
    this.gl.uniform1i(this.at(name), 0)
  }

  /** constant gives an attribute that no buffer feeds one value for all. */
  constant(name: string, v: number): void {
    const at = this.attributes.get(name) ?? this.gl.getAttribLocation(this.handle, name)
    if (at >= 0) this.gl.vertexAttrib1f(at, v)
  }

  /** feed binds the attributes given and switches off those that are not there. */
  feed(list: Record<string, Attribute | undefined>): void {
    const gl = this.gl
    for (let i = 0; i < 12; i++) gl.disableVertexAttribArray(i)
    for (const [name, a] of Object.entries(list)) {
      if (!this.attributes.has(name)) this.attributes.set(name, gl.getAttribLocation(this.handle, name))
      const at = this.attributes.get(name)!
      if (at < 0 || !a) continue
      gl.bindBuffer(gl.ARRAY_BUFFER, a.buffer)
      gl.enableVertexAttribArray(at)
      gl.vertexAttribPointer(at, a.size, a.type, a.normalized ?? false, a.stride ?? 0, a.offset ?? 0)
      gl.vertexAttribDivisor(at, a.divisor ?? 0)
    }
  }
}
