import type { Box, Point } from '../lib/geom'

/**
 * Camera is a parallel projection: lengths stay comparable everywhere on the
 * board, as on a drawing. Plan view looks straight down (tilt 0); tilting
 * shows the part in the round.
 */
export interface Camera {
  /** Point of the part in the middle of the board, mm. */
  readonly cx: number
  readonly cy: number
  readonly cz: number
  /** Pixels per mm. */
  readonly scale: number
  /** Turn about the build direction, and away from it; rad. */
  readonly yaw: number
  readonly tilt: number
  /** Size of the board, CSS pixels. */
  readonly width: number
  readonly height: number
}

export const plan = { yaw: 0, tilt: 0 }
/** A usual axonometric look. */
export const solid = { yaw: -0.6, tilt: 0.95 }

export function isPlan(c: Camera): boolean {
  return c.tilt === 0 && c.yaw === 0
}

/** project gives the pixel of a point of the part. */
export function project(c: Camera, x: number, y: number, z = 0): Point {
  const [dx, dy, dz] = [x - c.cx, y - c.cy, z - c.cz]
  const u = Math.cos(c.yaw) * dx - Math.sin(c.yaw) * dy
  const v = Math.sin(c.yaw) * dx + Math.cos(c.yaw) * dy
  const up = Math.cos(c.tilt) * v + Math.sin(c.tilt) * dz
  return { x: c.width / 2 + c.scale * u, y: c.height / 2 - c.scale * up }
}

/** unproject gives the point at height z that lies under a pixel. */
export function unproject(c: Camera, px: number, py: number, z = 0): Point {
  const u = (px - c.width / 2) / c.scale
  const up = (c.height / 2 - py) / c.scale
  const v = (up - Math.sin(c.tilt) * (z - c.cz)) / Math.cos(c.tilt)
  return {
    x: c.cx + Math.cos(c.yaw) * u + Math.sin(c.yaw) * v,
    y: c.cy - Math.sin(c.yaw) * u + Math.cos(c.yaw) * v,
  }
}

/** depthRange is how far from the middle anything may lie, mm: far beyond any bed. */
const depthRange = 5000

/** matrix is the projection for the graphics card, column by column. */
export function matrix(c: Camera): Float32Array {
  const sx = (2 * c.scale) / c.width
  const sy = (2 * c.scale) / c.height
  const [cosY, sinY, cosT, sinT] = [Math.cos(c.yaw), Math.sin(c.yaw), Math.cos(c.tilt), Math.sin(c.tilt)]
  // rows: screen right, screen up, and toward the eye
  const rows = [
    [sx * cosY, -sx * sinY, 0],
    [sy * cosT * sinY, sy * cosT * cosY, sy * sinT],
    [(sinT * sinY) / depthRange, (sinT * cosY) / depthRange, -cosT / depthRange],
  ] as const
  const at = [c.cx, c.cy, c.cz]
  const m = new Float32Array(16)
  rows.forEach((r, i) => {
    m[i] = r[0]
    m[4 + i] = r[1]
    m[8 + i] = r[2]
    m[12 + i] = -(r[0] * at[0]! + r[1] * at[1]! + r[2] * at[2]!)
  })
  m[15] = 1
  return m
}

/** fitted turns a camera so that the box fills the board, with a margin in pixels. */
export function fitted(c: Camera, box: Box, z: number, margin = 84): Camera {
  const w = Math.max(1e-6, box.x1 - box.x0)
  const h = Math.max(1e-6, box.y1 - box.y0)
  const across = Math.abs(Math.cos(c.yaw)) * w + Math.abs(Math.sin(c.yaw)) * h
  const up = Math.cos(c.tilt) * (Math.abs(Math.sin(c.yaw)) * w + Math.abs(Math.cos(c.yaw)) * h) + Math.sin(c.tilt) * z
  const roomX = Math.max(40, c.width - 2 * margin)
  const roomY = Math.max(40, c.height - 2 * margin)
  return { ...c, cx: (box.x0 + box.x1) / 2, cy: (box.y0 + box.y1) / 2, cz: z / 2, scale: Math.min(roomX / across, roomY / Math.max(up, 1e-6)) }
}

/** zoomed scales about a pixel, which stays where it is. */
export function zoomed(c: Camera, factor: number, px: number, py: number): Camera {
  const scale = Math.min(2000, Math.max(0.02, c.scale * factor))
  const before = unproject(c, px, py, c.cz)
  const next = { ...c, scale }
  const after = unproject(next, px, py, c.cz)
  return { ...next, cx: c.cx + before.x - after.x, cy: c.cy + before.y - after.y }
}

/** moved shifts the picture by pixels. */
export function moved(c: Camera, dx: number, dy: number): Camera {
  const a = unproject(c, 0, 0, c.cz)
  const b = unproject(c, dx, dy, c.cz)
  return { ...c, cx: c.cx + a.x - b.x, cy: c.cy + a.y - b.y }
}

/** turned rotates the look, never from beneath the bed or flat along it. */
export function turned(c: Camera, dYaw: number, dTilt: number): Camera {
  return { ...c, yaw: c.yaw + dYaw, tilt: Math.min(1.5, Math.max(0, c.tilt + dTilt)) }
}
