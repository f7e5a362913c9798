/**
 * Colour ramps for the board. Their lightness runs one way (or from a pale
 * middle down to both sides), so that order can be read without telling hues
 * apart: in grey print, and with any of the usual kinds of colour blindness.
 * Mixing happens in OKLab, where equal steps look equal
 * (B. Ottosson, "A perceptual color space for image processing", 2020).
 */

/** RGB holds three channels, 0 to 1, gamma-encoded sRGB. */
export type RGB = readonly [number, number, number]

/** A ramp's knots, evenly spaced from its low to its high end. */
export interface Ramp {
  readonly name: string
  readonly knots: readonly string[]
  /** A diverging ramp has its palest colour in the middle. */
  readonly diverges: boolean
}

/** How much: pale where little, dark where much. */
export const amount: Ramp = { name: 'amount', diverges: false, knots: ['#e6dfbd', '#c3c9a4', '#8db89c', '#4c918f', '#2b6378', '#1d2f55'] }
/** How much on a dark board: dark where little, pale where much. */
export const glow: Ramp = { name: 'glow', diverges: false, knots: ['#20304f', '#2b5f78', '#47918f', '#86b99b', '#c8d3a8', '#f6efd2'] }
/** Which way: blue below the middle, brown above. */
export const balance: Ramp = { name: 'balance', diverges: true, knots: ['#173f6b', '#5b90b5', '#bccfd8', '#f4f0e6', '#e4bd97', '#bd6f42', '#742a16'] }
/** Reserve: brown where it is short of what is asked, blue where it is ample. */
export const reserve: Ramp = { name: 'reserve', diverges: true, knots: ['#6d2413', '#b9683c', '#e5bf9a', '#f4f0e6', '#b7cdd8', '#568cb3', '#173f6b'] }

/** hex reads "#rrggbb". */
export function hex(text: string): RGB {
  const v = Number.parseInt(text.slice(1), 16)
  return [(v >> 16) / 255, ((v >> 8) & 255) / 255, (v & 255) / 255]
}

function linear(c: number): number {
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4
}

function encoded(c: number): number {
  const v = Math.min(1, Math.max(0, c))
  return v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055
}

/** oklab gives lightness, green–red and blue–yellow of a colour. */
export function oklab(rgb: RGB): [number, number, number] {
  const [r, g, b] = [linear(rgb[0]), linear(rgb[1]), linear(rgb[2])]
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b)
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b)
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b)
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ]
}

function fromOklab(lab: readonly [number, number, number]): RGB {
  const l = (lab[0] + 0.3963377774 * lab[1] + 0.2158037573 * lab[2]) ** 3
  const m = (lab[0] - 0.1055613458 * lab[1] - 0.0638541728 * lab[2]) ** 3
  const s = (lab[0] - 0.0894841775 * lab[1] - 1.291485548 * lab[2]) ** 3
  return [
    encoded(4.0767416621 * l - 3.3077115913 * m + 0.2309699292 * s),
    encoded(-1.2684380046 * l + 2.6097574011 * m - 0.3413193965 * s),
    encoded(-0.0041960863 * l - 0.7034186147 * m + 1.707614701 * s),
  ]
}

/** colourAt gives the ramp's colour at t, 0 the low end and 1 the high one. */
export function colourAt(ramp: Ramp, t: number): RGB {
  const last = ramp.knots.length - 1
  const at = Math.min(1, Math.max(0, t)) * last
  const i = Math.min(last - 1, Math.floor(at))
  const a = oklab(hex(ramp.knots[i]!))
  const b = oklab(hex(ramp.knots[i + 1]!))
  const f = at - i
  return fromOklab([a[0] + f * (b[0] - a[0]), a[1] + f * (b[1] - a[1]), a[2] + f * (b[2] - a[2])])
}

/** css writes a colour for a style. */
export function css(rgb: RGB): string {
  return `rgb(${rgb.map((c) => Math.round(255 * c)).join(' ')})`
}

/** table samples a ramp into n RGBA texels for the graphics card. */
export function table(ramp: Ramp, n = 256): Uint8Array {
  const out = new Uint8Array(4 * n)
  for (let i = 0; i < n; i++) {
    const c = colourAt(ramp, i / (n - 1))
    out.set([Math.round(255 * c[0]), Math.round(255 * c[1]), Math.round(255 * c[2]), 255], 4 * i)
  }
  return out
}

/**
 * Colours that tell families apart. Neighbours differ in lightness as well as
 * hue; the stack and the legend name each, so colour never stands alone.
 */
export const families: readonly string[] = ['#27557f', '#b0622d', '#4f8f7a', '#8a5a83', '#a98a1f', '#5d6b78', '#8c3b3b', '#3f7fb0']
/** The same order for a dark board. */
export const familiesDark: readonly string[] = ['#7fb2e0', '#e59a63', '#84c8b0', '#c79ac0', '#dcc262', '#a9b7c4', '#e08f8f', '#5fa9d8']
/** Colours of the kinds of plastic bead: paler than the families, each its own lightness or hue. */
export const plastics: readonly string[] = ['#c9bfa6', '#9fb8a8', '#d9d4c6', '#b3a9c2', '#dcc08e', '#a7b6c6', '#c4a39a', '#8f9484']
/** The same order for a dark board. */
export const plasticsDark: readonly string[] = ['#5a5446', '#3f584a', '#45453f', '#544a63', '#6b5a35', '#43505e', '#624841', '#6f7566']

/** swatches makes texels of colours that each stand for one thing. */
export function swatches(colours: readonly string[]): Uint8Array {
  return Uint8Array.from(colours.flatMap((c) => [...hex(c).map((x) => Math.round(255 * x)), 255]))
}
