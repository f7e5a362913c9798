// Writes the areas of 10 000 pairs of random polygons, joined, cut, subtracted,
// grown and shrunk by an independent library, for the test of package geom,
// which draws the same polygons (geom/areas_test.go).
import { writeFileSync } from 'node:fs'
import { gzipSync } from 'node:zlib'
import { Clipper, ClipType, FillRule, JoinType, EndType } from 'clipper2-ts'

const pairs = 10000
const mask = (1n << 64n) - 1n
const nanometres = 1000 // of a micrometre: the polygons' corners are whole micrometres

// splitmix64 (S. Vigna, public domain, 2015)
let state = 0n
function next() {
  state = (state + 0x9e3779b97f4a7c15n) & mask
  let z = state
  z = ((z ^ (z >> 30n)) * 0xbf58476d1ce4e5b9n) & mask
  z = ((z ^ (z >> 27n)) * 0x94d049bb133111ebn) & mask
  return z ^ (z >> 31n)
}
const below = (n) => Number(next() % BigInt(n))

// Points of the lower half-plane come after those of the upper one; within a half
// the cross product tells which of two directions comes first.
const half = (p) => (p.y < 0 || (p.y === 0 && p.x < 0) ? 1 : 0)
const byAngle = (a, b) => half(a) - half(b) || b.x * a.y - b.y * a.x

// polygon draws whole micrometres: star-shaped when simple, else crossing itself.
function polygon(simple) {
  const n = 3 + below(13)
  const points = []
  for (let i = 0; i < n; i++) points.push({ x: below(100001) - 50000, y: below(100001) - 50000 })
  if (simple) points.sort(byAngle)
  return points
}

const scaled = (p, dx, dy) => p.map((q) => ({ x: (q.x + dx) * nanometres, y: (q.y + dy) * nanometres }))
const area = (paths) => Clipper.areaPaths(paths) / (nanometres * nanometres * 1e6) // mm²
const inflate = (paths, d) => Clipper.inflatePaths(paths, d * nanometres, JoinType.Round, EndType.Polygon, 2, 100)

const lines = []
const begin = Date.now()
for (let i = 0; i < pairs; i++) {
  state = BigInt(i) << 20n
  const simple = i % 2 === 0
  const p = [scaled(polygon(simple), 0, 0)]
  const dx = below(40001) - 20000
  const dy = below(40001) - 20000
  const q = [scaled(polygon(simple), dx, dy)]
  const d = 100 + below(5000)
  const clean = Clipper.booleanOp(ClipType.Union, p, null, FillRule.NonZero)
  const values = [
    area(Clipper.union(p, q, FillRule.NonZero)),
    area(Clipper.intersect(p, q, FillRule.NonZero)),
    area(Clipper.difference(p, q, FillRule.NonZero)),
    area(inflate(clean, d)),
    area(inflate(clean, -d)),
  ]
  lines.push(values.map((v) => Number(v.toPrecision(9)).toString()).join(' '))
}
console.log(`${pairs} pairs in ${(Date.now() - begin) / 1000} s`)
writeFileSync(new URL('../../geom/testdata/areas.txt.gz', import.meta.url), gzipSync(lines.join('\n') + '\n', { level: 9 }))
