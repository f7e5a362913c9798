// Lists of tables and tables in tables: rows made from the schema of the job
// file, with what is wrong standing at the value that is.
import assert from 'node:assert/strict'
import { test } from 'node:test'
import { accessible } from './axe.mjs'
import { entry, eventually, fileText, open, page, server, setUp, take, write } from './sheet.mjs'

setUp({ jobs: ['hanger'], show: 'hanger' })

const text = () => fileText(server, 'hanger')

/** told is the fault that stands at an entry. */
async function told(key) {
  const e = entry(page, key)
  await eventually(`${key} is marked`, async () => (await e.getAttribute('aria-invalid')) === 'true')
  return page.locator(`[id="${await e.getAttribute('aria-describedby')}"]`).textContent()
}

test('points on the face of a case: added, wrong, mended, copied, removed', async () => {
  await take(page, 'Loads')
  await page.getByText('pressure, points, spin, heat in case 1').click()
  const one = page.getByRole('group', { name: 'Case full boom' })
  await one.getByRole('button', { name: 'Add a point' }).click()
  await entry(page, 'case[0].point[0].force').waitFor()
  assert.match(await text(), /\[\[case\.point\]\]\n\s+at = \["[\d.]+ mm", "[\d.]+ mm"\]/)
  await write(page, 'case[0].point[0].force', '3 kg')
  assert.match(await told('case[0].point[0].force'), /mass.*force/)
  assert.ok(await page.getByRole('button', { name: 'Run', exact: true }).isDisabled())
  await write(page, 'case[0].point[0].force', '12 N')
  await write(page, 'case[0].point[0].at', '900 mm, 0 mm')
  assert.match(await told('case[0].point[0].at'), /outside the part/)
  await write(page, 'case[0].point[0].at', '100 mm, 2 mm')
  await one.getByRole('button', { name: 'Copy point 1' }).click()
  await entry(page, 'case[0].point[1].at').waitFor()
  await write(page, 'case[0].point[1].force', '9 N')
  await one.getByRole('button', { name: 'Move point 2 up' }).click()
  await eventually('moved', async () => (await entry(page, 'case[0].point[0].force').inputValue()) === '9 N')
  for (const n of [2, 1]) await one.getByRole('button', { name: `Remove point ${n}` }).click()
  await eventually('all gone', async () => !/case\.point/.test(await text()))
})

test('a table within a table: put in with what it needs, left out again', async () => {
  const before = await text()
  await take(page, 'Loads')
  await page.getByText('pressure, points, spin, heat in case 2').click()
  const two = page.getByRole('group', { name: 'Case boom swings' })
  await two.getByRole('button', { name: 'Add spin' }).click()
  await write(page, 'case[1].spin.rpm', 'quick')
  assert.match(await told('case[1].spin.rpm'), /number/)
  await accessible(page, 'a wrong value in a table')
  await write(page, 'case[1].spin.rpm', '120')
  await eventually('a number', async () => /rpm = 120/.test(await text()))
  await two.getByRole('button', { name: 'Leave out spin' }).click()
  await eventually('gone', async () => (await text()) === before)
})

test('a list below a table that stands on one line; what is wrong opens the fold it lies in', async () => {
  await take(page, 'Lay-up')
  await page.getByText('More of the lay-up').click()
  await page.getByRole('button', { name: 'Add a region' }).click()
  await entry(page, 'layup.covers.region[0].within').waitFor()
  assert.match(await text(), /\[layup\.covers\]\nbottom = 2\ntop = 2\n\n\[\[layup\.covers\.region\]\]/)
  // regions mean nothing where covers are solid: told at the list itself
  await page.getByRole('alert').filter({ hasText: 'covers are solid' }).waitFor()
  await entry(page, 'layup.covers.fill').selectOption('gyroid')
  await page.getByRole('alert').filter({ hasText: 'covers are solid' }).waitFor({ state: 'detached' })
  await write(page, 'layup.covers.region[0].within', '3 N')
  assert.match(await told('layup.covers.region[0].within'), /length/)
  await page.reload()
  await take(page, 'Lay-up')
  await eventually('open by itself', () => entry(page, 'layup.covers.region[0].within').isVisible())
  for (let i = 0; i < 3; i++) await page.getByRole('button', { name: 'Undo' }).click()
  await eventually('as before', async () => /covers = \{ bottom = 2, top = 2 \}/.test(await text()))
})

test('how a feature is picked', async () => {
  await take(page, 'Part')
  await page.getByText('How features are picked').click()
  await write(page, 'feature[2].hole.diameter', '15 mm')
  await page.getByRole('alert').filter({ hasText: /no hole fits/ }).waitFor()
  await page.getByRole('button', { name: 'Undo' }).click()
  await page.getByRole('alert').filter({ hasText: /no hole fits/ }).waitFor({ state: 'detached' })
})

test('on paper closed folds show what the job states in them', async () => {
  await take(page, 'Lay-up')
  const fold = page.locator('details', { hasText: 'Refinement of steered families' })
  assert.equal(await fold.evaluate((d) => d.open), false)
  const goal = entry(page, 'layup.refine.goal')
  const steps = entry(page, 'layup.refine.steps')
  assert.equal(await goal.isVisible(), false)
  await page.emulateMedia({ media: 'print' })
  await eventually('what is stated', () => goal.isVisible())
  assert.equal(await steps.isVisible(), false, 'what is not stated')
  assert.equal(await page.getByText('How features are picked').isVisible(), true)
  await page.emulateMedia({ media: 'screen' })
})
