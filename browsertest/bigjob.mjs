// A synthetic job of any size: a plate with wavy strands in many layers, on an
// even mesh. Nothing here is a result; it is there to be drawn.

export function bigJob({ pieces, triangles, pack }) {
  const [w, h] = [400, 250]
  const groups = 100
  const perGroup = Math.round(pieces / groups)
  const lines = Math.round(h / 1)
  const perLine = Math.ceil(perGroup / lines)
  const n = groups * lines * (perLine + 1)
  const points = new Float32Array(2 * n)
  const start = new Uint32Array(groups * lines + 1)
  const group = new Uint32Array(groups * lines)
  let at = 0
  for (let g = 0; g < groups; g++) {
    for (let l = 0; l < lines; l++) {
      start[g * lines + l] = at
      group[g * lines + l] = g
      for (let i = 0; i <= perLine; i++) {
        const x = (w * i) / perLine
        points[2 * at] = x
        points[2 * at + 1] = ((l + 0.5) * h) / lines + 2 * Math.sin((x + 7 * g) / 23)
        at++
      }
    }
  }
  start[groups * lines] = at
  const f = (make) => Float32Array.from({ length: n }, (_, i) => make(i))
  const strands = pack(
    'strands',
    {
      points: [points, 2],
      start: [start, 1],
      width: [f(() => 0.95), 1],
      radius: [f((i) => 30 + (i % 40)), 1],
      share: [f((i) => 0.3 + (i % 20) / 200), 1],
      use: [f((i) => (i % 100) / 100), 1],
      strand_group: [group, 1],
      strand_closed: [new Uint8Array(group.length), 1],
      strand_end: [new Uint8Array(2 * group.length).fill(1), 2],
      strand_length: [new Float32Array(group.length).fill(w), 1],
      strand_least_radius: [new Float32Array(group.length).fill(30), 1],
      strand_turning: [new Float32Array(group.length).fill(0.5), 1],
    },
    { groups: Array.from({ length: groups }, (_, g) => ({ family: `family ${g % 4}`, layers: [g] })), ends: ['closed', 'at the edge'] },
  )

  const nx = Math.round(Math.sqrt((triangles / 2) * (w / h)))
  const ny = Math.round(triangles / 2 / nx)
  const wide = 2 * nx + 1
  const nodes = new Float32Array(2 * wide * (2 * ny + 1))
  for (let j = 0; j <= 2 * ny; j++) for (let i = 0; i < wide; i++) nodes.set([(w * i) / (2 * nx), (h * j) / (2 * ny)], 2 * (j * wide + i))
  const tris = new Uint32Array(12 * nx * ny)
  const values = new Float32Array(6 * nx * ny)
  for (let j = 0, t = 0; j < ny; j++) {
    for (let i = 0; i < nx; i++, t += 2) {
      const o = 2 * j * wide + 2 * i
      tris.set([o, o + 2, o + 2 * wide + 2, o + 1, o + wide + 2, o + wide + 1], 6 * t)
      tris.set([o, o + 2 * wide + 2, o + 2 * wide, o + wide + 1, o + 2 * wide + 1, o + wide], 6 * t + 6)
      for (let k = 0; k < 6; k++) values[3 * t + k] = 0.5 + 0.5 * Math.sin(i / 20) * Math.cos(j / 15)
    }
  }
  const outline = [[0, 0], [w, 0], [w, h], [0, h]]
  const layers = Array.from({ length: groups }, (_, i) => ({ index: i, kind: 'composite', family: `family ${i % 4}`, group: i, composite: i, top_mm: 0.32 * (i + 1), height_mm: 0.32, strands: lines, length_mm: w * lines }))
  const design = { name: 'as printed', mass_g: 1, fibre_length_m: 1, stiffness_N_mm: 1, cases: [{ case: 'pull', stiffness_N_mm: 1, margins: [{ mode: 'fibre tension', reserve_factor: 1.5, x_mm: w / 2, y_mm: h / 2, composite_layer: 0, layer_angle_deg: 0 }] }] }
  const b = '/api/jobs/big'
  return {
    '/api': { version: 'test', workspace: 'test', single: false, caution: 'Nothing here is a result.' },
    '/api/jobs': { jobs: [] },
    [`${b}/file`]: { version: 'x', text: '', readable: true, doc: { name: 'big' }, places: {}, faults: [], undo: null, redo: null },
    [`${b}/part`]: { version: 'x', faults: [], thickness_mm: 32, area_mm2: w * h, box_mm: [0, 0, w, h], notes: [], loops: [{ points: outline, area_mm2: w * h, edges: [] }], slabs: [], features: [], picks: [], supports: [], cases: [{ key: 'case[0]', name: 'pull', factor: 1, loads: [], points: [] }], probes: [], families: [], stack: null, spacing_mm: [0.65, 2] },
    [`${b}/cards`]: { cards: [] },
    [`${b}/result`]: { record: { job: 'big', input_hash: 'x', version: 'test', inputs: [], part: { thickness_mm: 32, area_mm2: w * h, box_mm: [0, 0, w, h], features: [] }, cases: [{ name: 'pull', factor: 1, imbalance: 0, residual: 0, reactions: [] }], designs: [design], ratios: [], findings: [], probes: [], warnings: [] }, run: null, fresh: true, version: 'x' },
    [`${b}/views`]: { input_hash: 'x', fresh: true, running: false, has: ['mesh', 'strands', 'proof'], cases: ['pull'], designs: ['as printed'], layers, groups: layers.map((l) => ({ family: l.family, layers: [l.index] })), fields: [{ id: 'index.worst', title: 'failure index, worst mode', unit: '', diverges: false, needs: ['design', 'case', 'layer'] }], shapes: [], triangles: 2 * nx * ny, nodes: nodes.length / 2 },
    [`${b}/views/mesh`]: () => pack('mesh', { nodes: [nodes, 2], triangles: [tris, 6] }),
    [`${b}/views/field`]: () => pack('field', { values: [values, 3] }, { title: 'index', unit: '', lo: 0, hi: 1, diverges: false }),
    [`${b}/views/strands`]: () => strands,
    [`${b}/views/beads`]: () => pack('beads', { points: [new Float32Array(0), 2], start: [new Uint32Array(1), 1], bead_kind: [new Uint8Array(0), 1], bead_closed: [new Uint8Array(0), 1], bead_width: [new Float32Array(0), 1] }),
  }
}
