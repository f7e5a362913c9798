// The page's types are the server's: each interface of web/src/api/types.ts
// that names a schema of the OpenAPI document has no property that the schema
// lacks, and asks for none that the server may leave out.
import assert from 'node:assert/strict'
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { after, before, test } from 'node:test'
import { fileURLToPath } from 'node:url'
import { drop, start, workspace } from './server.mjs'

const web = new URL('../web/', import.meta.url)
const ts = createRequire(fileURLToPath(new URL('package.json', web)))('typescript')

/** How the page's names and the server's go together. */
const named = {
  Fault: 'Fault',
  Conflict: 'Conflict',
  Problem: 'Problem',
  Server: 'Home',
  JobEntry: 'JobEntry',
  FileState: 'FileState',
  EditEntry: 'JournalEntry',
  Edge: 'EdgeView',
  Loop: 'LoopView',
  Feature: 'FeatureView',
  Pick: 'PickView',
  Support: 'SupportView',
  Load: 'LoadView',
  LoadCase: 'CaseView',
  PointLoad: 'PointLoadView',
  Slab: 'SlabView',
  Probe: 'ProbeView',
  Family: 'FamilyView',
  PartView: 'PartState',
  Result: 'ResultState',
  Rec: 'Record',
  Design: 'DesignRecord',
  DesignCase: 'DesignCaseRecord',
  NotchRule: 'RuleRecord',
  Joint: 'JointRecord',
  Collapse: 'CollapseRecord',
  Strength: 'StrengthRecord',
  CriterionSays: 'CriterionRecord',
  Laminate: 'StackRecord',
  Plate: 'PlateRecord',
  PlateCase: 'PlateCaseRecord',
  Margin: 'MarginRecord',
  Finding: 'FindingRecord',
  FigureOf: 'FigureOfRecord',
  Bead: 'BeadRecord',
  LayerRecord: 'LayerRecord',
  ProbeRecord: 'ProbeRecord',
  Program: 'ProgramRecord',
  RunRecord: 'RunRecord',
  Quick: 'QuickRecord',
  Run: 'RunState',
  Views: 'ViewsSummary',
  ViewLayer: 'LayerPlace',
  FieldInfo: 'FieldKind',
  ShapeInfo: 'ShapeKind',
  AtPoint: 'PlaceView',
  LayerHere: 'LayerHere',
  SectionPlot: 'SectionView',
  StrandPlot: 'StrandView',
  DesignBrief: 'DesignBrief',
  HistoryEntry: 'RunBrief',
  Change: 'KeyChange',
  HistoryRun: 'KeptRun',
  CardEntry: 'CardEntry',
  Card: 'CardState',
  Curve: 'Curve',
  Series: 'Series',
}

let dir, server, schemas
before(async () => {
  dir = workspace('hanger')
  server = await start(dir)
  const answer = await fetch(`${server.url}api/openapi.json`)
  schemas = (await answer.json()).components.schemas
})
after(async () => {
  await server?.stop()
  drop(dir)
})

function interfaces() {
  const text = readFileSync(new URL('src/api/types.ts', web), 'utf8')
  const file = ts.createSourceFile('types.ts', text, ts.ScriptTarget.Latest)
  const out = new Map()
  file.forEachChild((n) => {
    if (!ts.isInterfaceDeclaration(n)) return
    out.set(n.name.text, n.members.filter(ts.isPropertySignature).map((m) => ({ name: m.name.getText(file).replace(/['"]/g, ''), optional: !!m.questionToken })))
  })
  return out
}

const page = interfaces()
for (const [ours, theirs] of Object.entries(named)) {
  test(`${ours} is ${theirs}`, () => {
    const schema = schemas[theirs]
    assert.ok(schema, `the server has no schema ${theirs}; it has ${Object.keys(schemas).join(' ')}`)
    const members = page.get(ours)
    assert.ok(members?.length, `types.ts has no interface ${ours}`)
    for (const m of members) {
      assert.ok(schema.properties?.[m.name], `${ours}.${m.name} is not in ${theirs}: ${Object.keys(schema.properties ?? {}).join(' ')}`)
      if (!m.optional) assert.ok(schema.required?.includes(m.name), `${ours}.${m.name} may be missing from ${theirs}`)
    }
  })
}
