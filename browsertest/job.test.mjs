// The whole job by clicks, on both example jobs; a strand by hand; cancel;
// keyboard alone; and what the screen reader and the eye are given.
import assert from 'node:assert/strict'
import { mkdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { test } from 'node:test'
import { accessible } from './axe.mjs'
import { dir, eventually, fileText, open, page, partPoint, run, server, setUp, take, unrefined, write } from './sheet.mjs'

const pictures = process.env.PICTURES

setUp({
  jobs: ['hanger', 'open-hole'],
  prepare: (dir) => {
    for (const j of ['hanger', 'open-hole']) unrefined(dir, j)
    if (pictures) mkdirSync(pictures, { recursive: true })
  },
})

const sound = (what) => accessible(page, what)

async function picture(name) {
  if (pictures) await page.screenshot({ path: join(pictures, `${name}.png`) })
}

const sections = ['Part', 'Loads', 'Materials', 'Lay-up', 'Strength', 'Printability', 'Program', 'Price', 'Evidence']

test('the open-hole strip from first run to dossier', async () => {
  await open(page, server, 'open-hole')
  await run(page)
  await eventually('verdict', async () => /required/.test(await page.getByTestId('verdict').textContent()))
  // the ledger has the governing figure of each design
  const ledger = page.getByRole('region', { name: /Reserve factors/ })
  assert.ok((await ledger.getByRole('button').count()) >= 5)
  await ledger.getByRole('button').first().click()
  await page.locator('figure.legend').waitFor()
  await take(page, 'Program')
  const got = page.waitForEvent('download')
  await page.getByRole('link', { name: /Take the program/ }).click()
  const text = readFileSync(await (await got).path(), 'utf8')
  assert.match(text, /G1/)
  await take(page, 'Evidence')
  const dossier = await fetch(new URL(await page.getByRole('link', { name: 'Open the dossier' }).getAttribute('href'), server.url))
  assert.match(await dossier.text(), /open-hole strip/)
})

test('the hanger: run, look at every section in light and dark, compare', async () => {
  await open(page, server, 'hanger')
  await run(page)
  await eventually('verdict', async () => /required/.test(await page.getByTestId('verdict').textContent()))
  for (const light of ['light', 'dark']) {
    if (light === 'dark') await page.getByRole('button', { name: /dark page/ }).click()
    for (const s of sections) {
      await take(page, s)
      await page.locator(`section.inhand h2:has-text("${s}")`).waitFor()
      await page.waitForTimeout(pictures ? 1500 : 150)
      await picture(`${light}-${s.toLowerCase()}`)
      await sound(`${light} ${s}`)
    }
  }
  await page.getByRole('button', { name: 'Compare' }).click()
  const leaf = page.getByRole('dialog', { name: 'Designs side by side' })
  await leaf.getByRole('rowheader', { name: 'as printed', exact: true }).waitFor()
  await sound('compare')
  await picture('dark-compare')
  await page.keyboard.press('Escape')
  await page.getByRole('button', { name: 'History' }).click()
  await page.getByRole('dialog', { name: 'Runs of this job' }).getByRole('button', { name: 'look' }).first().click()
  await page.getByRole('button', { name: /job text back/ }).waitFor()
  await picture('dark-history')
  await page.keyboard.press('Escape')
  for (const show of ['Mesh', 'Flow of force', 'Field', 'Strands', 'Gaps', 'Part']) {
    await page.getByRole('button', { name: show, exact: true }).click()
    await page.waitForTimeout(pictures ? 1500 : 150)
    await picture(`dark-board-${show.toLowerCase().replaceAll(' ', '-')}`)
  }
})

test('a load edited: margins of the strands as kept, at once', async (t) => {
  await open(page, server, 'hanger')
  await take(page, 'Loads')
  const began = Date.now()
  await write(page, 'case[0].load[0].force', '1.0 kN')
  const told = page.getByText('new loads on the strands as kept')
  await told.waitFor()
  t.diagnostic(`from the edit to its margins on the page: ${Date.now() - began} ms; ${await told.textContent()}`)
  await page.getByRole('button', { name: 'Undo' }).click()
  await told.waitFor({ state: 'detached' })
})

test('a strand drawn by hand, moved, laid and proved again, deleted', async () => {
  await open(page, server, 'hanger')
  await take(page, 'Lay-up')
  await page.getByRole('button', { name: 'Draw a strand' }).click()
  const at = []
  for (const [x, y] of [[20, 13], [60, 13.5], [110, 12.5]]) at.push(await partPoint(page, x, y))
  for (const p of at) await page.mouse.click(p.x, p.y)
  await page.locator('#board').focus()
  await page.keyboard.press('Shift+Enter')
  const text = () => fileText(server, 'hanger')
  await eventually('in the job', async () => /kind = "drawn"/.test(await text()))
  assert.match(await text(), /into = "lengthwise"/)
  // drag its middle point
  const p = await partPoint(page, 60, 13.5)
  const before = await text()
  await page.mouse.move(p.x, p.y)
  await page.mouse.down()
  await page.mouse.move(p.x + 3, p.y + 4, { steps: 3 })
  await page.mouse.move(p.x + 6, p.y + 8, { steps: 3 })
  await page.mouse.up()
  await eventually('moved', async () => (await text()) !== before)
  await page.getByRole('button', { name: 'Lay and prove again' }).click()
  await page.getByRole('button', { name: 'Cancel', exact: true }).waitFor()
  await page.getByRole('button', { name: 'Run', exact: true }).waitFor({ timeout: 120000 })
  await eventually('proved', async () => !/before the last edits/.test(await page.getByTestId('verdict').textContent()))
  await picture('hand')
  await page.getByRole('button', { name: 'Delete drawn strand 1' }).click()
  await eventually('gone', async () => !/kind = "drawn"/.test(await text()))
})

test('a run cancelled leaves the results of before', async () => {
  await open(page, server, 'hanger')
  await take(page, 'Lay-up')
  await write(page, 'layup.family[0].spacing', '1.1 mm')
  const before = (await (await fetch(`${server.url}api/jobs/hanger/result`)).json()).record.input_hash
  await page.getByRole('button', { name: 'Run', exact: true }).click()
  await page.getByRole('button', { name: 'Cancel', exact: true }).click()
  await page.getByRole('button', { name: 'Run', exact: true }).waitFor()
  await page.getByText(/Run cancelled/).waitFor()
  assert.equal((await (await fetch(`${server.url}api/jobs/hanger/result`)).json()).record.input_hash, before)
  await page.getByRole('button', { name: 'Undo' }).click()
  await eventually('undone', async () => !/1.1 mm/.test(await fileText(server, 'hanger')))
})

test('keyboard alone: a load, the board, the stack, a layer more, undo', async () => {
  await open(page, server, 'hanger')
  const text = () => fileText(server, 'hanger')
  await page.keyboard.press('Alt+2')
  await eventually('in hand', async () => page.locator('#section-loads.inhand').isVisible())
  // tab to the force of the first case
  await eventually('reached', async () => {
    await page.keyboard.press('Tab')
    return (await page.evaluate(() => document.activeElement?.dataset.key)) === 'case[0].load[0].force'
  }, 20000)
  await page.keyboard.press('Control+A')
  await page.keyboard.type('1.1 kN')
  await page.keyboard.press('Enter')
  await eventually('edited', async () => /force = "1.1 kN"/.test(await text()))
  await page.keyboard.press('Alt+b')
  await eventually('at the board', () => page.evaluate(() => document.activeElement?.id === 'board'))
  await page.keyboard.press('5')
  await page.getByRole('button', { name: 'Strands', exact: true, pressed: true }).waitFor()
  await page.keyboard.press('+')
  await page.keyboard.press('ArrowLeft')
  await eventually('read out', async () => /x -?\d/.test(await page.getByTestId('readout').textContent()))
  await page.keyboard.press('r')
  await page.getByRole('button', { name: 'In the round', pressed: true }).waitFor()
  await page.keyboard.press('r')
  await page.keyboard.press('Alt+s')
  await eventually('at the stack', () => page.evaluate(() => document.activeElement?.id === 'stack'))
  await page.keyboard.press('ArrowDown')
  await page.keyboard.press('ArrowDown')
  await page.keyboard.press('ArrowDown')
  await page.locator('#stack [aria-selected=true]').waitFor()
  await page.keyboard.press('+')
  await eventually('one layer more', async () => /layers = 11/.test(await text()))
  await page.locator('#board').focus()
  await page.keyboard.press('Control+z')
  await eventually('one layer less', async () => /layers = 10/.test(await text()))
  await page.keyboard.press('Control+z')
  await eventually('force of before', async () => /force = "1.1 kN"/.test(await text()))
})

test('from a drawing to a result, without a job', async () => {
  await page.goto(server.url)
  await sound('desk')
  await picture('desk')
  await page.locator('input[type=file]').setInputFiles(join(dir, 'hanger', 'hanger.dxf'))
  await page.getByLabel('Folder for the job').fill('bracket')
  await page.getByRole('button', { name: 'Begin' }).click()
  await page.getByRole('heading', { level: 1, name: 'bracket' }).waitFor()
  await eventually('features', async () => (await page.getByRole('textbox', { name: /Name of hole/ }).count()) === 3)
  await sound('new job')
  await take(page, 'Lay-up')
  await page.getByText('Refinement of steered families').click()
  await write(page, 'layup.refine.steps', '0')
  await run(page)
  await eventually('verdict', async () => /required|requirement/.test(await page.getByTestId('verdict').textContent()))
})

test('a card copied, edited, refused when wrong', async () => {
  await open(page, server, 'hanger')
  await take(page, 'Materials')
  await page.getByRole('button', { name: 'Open the card of plastic' }).click()
  const leaf = page.getByRole('dialog', { name: 'Card' })
  await leaf.getByLabel('Copy as').fill('polyamide-own')
  await leaf.getByRole('button', { name: 'Make a copy to edit' }).click()
  await eventually('taken', async () => /plastic = "polyamide-own"/.test(await fileText(server, 'hanger')))
  await leaf.getByRole('button', { name: 'Edit its text' }).click()
  const text = leaf.getByLabel('Text of the card')
  const before = await text.inputValue()
  await text.fill(before.replace(/density = \{ is = "[^"]*"/, 'density = { is = "heavy"'))
  await leaf.getByRole('button', { name: 'Write the card' }).click()
  await leaf.getByRole('alert').first().waitFor()
  await sound('card')
  await picture('card')
  await page.keyboard.press('Escape')
})

test('the bead: a wanted figure gives its distance, every method stands between bounds', async () => {
  await open(page, server, 'hanger')
  await take(page, 'Materials')
  await page.getByText('The bead over spacing, by every method').click()
  await page.getByLabel('Which distance of strands gives').selectOption('modulus')
  await page.getByLabel('of', { exact: true }).fill('50 GPa')
  await page.getByRole('button', { name: 'Work it out' }).click()
  const answer = page.getByTestId('bead-answer')
  await eventually('answered', async () => /E₁ 50(\.0)?\s/.test(await answer.textContent()))
  assert.equal(await page.getByRole('rowheader', { name: 'mori-tanaka' }).count(), 1)
  await page.getByText(/In compression along the fibres kinking governs/).waitFor()
  await sound('bead')
  await picture('bead')
  await page.getByLabel('of', { exact: true }).fill('500 GPa')
  await page.getByRole('button', { name: 'Work it out' }).click()
  await page.getByText(/out of reach/).waitFor()
  await page.getByLabel('of', { exact: true }).fill('50 GPa')
  await page.getByRole('button', { name: 'Work it out' }).click()
  const figure = /At\s+([0-9.]+)/.exec(await answer.textContent())[1]
  await answer.getByRole('button', { name: 'take it for lengthwise' }).click()
  await eventually('taken', async () => (await fileText(server, 'hanger')).includes(`spacing = "${figure}`))
})
