// Edits, undo, faults and conflicts on the sheet, and what survives a killed server.
import assert from 'node:assert/strict'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { test } from 'node:test'
import { dir, entry, eventually, fileText, killed, page, partPoint, server, setUp, take, write } from './sheet.mjs'

setUp({ jobs: ['hanger'], show: 'hanger' })

const text = () => fileText(server, 'hanger')

test('a value edited, undone and done again', async () => {
  await take(page, 'Loads')
  await write(page, 'case[0].load[0].force', '1.5 kN')
  assert.match(await text(), /force = "1.5 kN"/)
  await page.getByRole('button', { name: 'Undo' }).click()
  await eventually('undone', async () => /force = "1.1 kN"/.test(await text()))
  await eventually('undone on the page', async () => (await entry(page, 'case[0].load[0].force').inputValue()) === '1.1 kN')
  await page.getByRole('button', { name: 'Redo' }).click()
  await eventually('done again', async () => /force = "1.5 kN"/.test(await text()))
  await page.getByRole('button', { name: 'Undo' }).click()
  await eventually('undone', async () => /force = "1.1 kN"/.test(await text()))
})

test('a wrong value is told where it stands', async () => {
  await take(page, 'Loads')
  await write(page, 'case[0].load[0].force', '1.5 kg')
  const e = entry(page, 'case[0].load[0].force')
  await eventually('marked', async () => (await e.getAttribute('aria-invalid')) === 'true')
  const told = page.locator(`#${await e.getAttribute('aria-describedby')}`)
  assert.match(await told.textContent(), /\w+/)
  assert.ok(await page.getByRole('button', { name: 'Run', exact: true }).isDisabled())
  await write(page, 'case[0].load[0].force', '1.1 kN')
  await eventually('mended', async () => (await e.getAttribute('aria-invalid')) === 'false')
  assert.ok(await page.getByRole('button', { name: 'Run', exact: true }).isEnabled())
})

test('text of the user is shown as text', async () => {
  const wicked = '<img src=x onerror=document.title="broken-in">'
  await write(page, 'name', wicked)
  await eventually('shown', async () => (await page.getByRole('heading', { level: 1 }).textContent()) === wicked)
  assert.ok(!(await page.title()).startsWith('broken-in'))
  await page.getByRole('button', { name: 'Undo' }).click()
  await eventually('undone', async () => /irrigation/.test(await page.getByRole('heading', { level: 1 }).textContent()))
})

test('an edit from outside shows at once', async () => {
  const path = join(dir, 'hanger', 'job.toml')
  const before = readFileSync(path, 'utf8')
  writeFileSync(path, before.replace('thickness = "4.64 mm"', 'thickness = "5.28 mm"'))
  await eventually('seen', async () => (await entry(page, 'part.thickness').inputValue()) === '5.28 mm')
  writeFileSync(path, before)
  await eventually('seen again', async () => (await entry(page, 'part.thickness').inputValue()) === '4.64 mm')
})

test('two who edit the same job are asked, and nothing is lost', async () => {
  const path = join(dir, 'hanger', 'job.toml')
  // the page's stream of events is cut, so that it edits on an older text
  await page.route('**/events', (r) => r.abort())
  await page.reload()
  await page.getByTestId('verdict').waitFor()
  await eventually('read', async () => (await entry(page, 'part.thickness').inputValue()) === '4.64 mm')
  const before = readFileSync(path, 'utf8')
  writeFileSync(path, before.replace('walls = 1', 'walls = 2'))
  await entry(page, 'note').fill('edited on the page')
  await entry(page, 'note').press('Enter')
  const dialog = page.getByRole('dialog', { name: /changed elsewhere/ })
  await dialog.waitFor()
  assert.match(await dialog.textContent(), /walls = 2/)
  assert.match(await dialog.textContent(), /edited on the page/)
  await dialog.getByRole('button', { name: /mine on top/ }).click()
  await eventually('both edits stand', async () => {
    const t = await text()
    return t.includes('walls = 2') && t.includes('edited on the page')
  })
  await page.getByRole('button', { name: 'Undo' }).click()
  await eventually('mine undone', async () => !(await text()).includes('edited on the page'))
  writeFileSync(path, before)
})

test('a hole clicked on the board is named, held and loaded', async () => {
  const p = await partPoint(page, 84, 0)
  await page.mouse.click(p.x, p.y)
  const leaf = page.getByRole('dialog', { name: /hole lightening hole/ })
  await leaf.waitFor()
  await leaf.getByRole('button', { name: 'pinned' }).click()
  await eventually('held', async () => /at = "lightening hole"\s+how = "pinned"/.test(await text()))
  await page.mouse.click(p.x, p.y)
  await leaf.getByLabel('Force').fill('300 N')
  await leaf.getByLabel('Angle').fill('90 °')
  await leaf.getByRole('button', { name: /^load/ }).click()
  await eventually('loaded', async () => /force = "300 N"/.test(await text()))
  // an edge gets a name
  const edge = await partPoint(page, 172, 0)
  await page.mouse.click(edge.x, edge.y)
  const side = page.getByRole('dialog', { name: /side/ })
  await side.getByLabel(/Edge/).fill('nose')
  await side.getByRole('button', { name: 'name', exact: true }).click()
  await eventually('named', async () => /name = "nose"/.test(await text()))
  for (let i = 0; i < 3; i++) {
    const before = await text()
    await page.getByRole('button', { name: 'Undo' }).click()
    await eventually('undone', async () => (await text()) !== before)
  }
  assert.doesNotMatch(await text(), /nose|300 N|pinned/)
})

test('a load is dragged by its arrow', async () => {
  await take(page, 'Loads')
  const from = await eventually('drawn', () =>
    page.evaluate(() => {
      const d = document.querySelector('.load .head')?.getAttribute('d')
      const box = document.querySelector('svg.overlay').getBoundingClientRect()
      const m = /M([\d.-]+) ([\d.-]+)/.exec(d ?? '')
      return m && { x: box.left + Number(m[1]), y: box.top + Number(m[2]) }
    }),
  )
  await page.mouse.move(from.x, from.y)
  await page.mouse.down()
  await page.mouse.move(from.x - 40, from.y - 40, { steps: 4 })
  await page.mouse.move(from.x - 60, from.y - 70, { steps: 4 })
  await page.mouse.up()
  await eventually('turned', async () => !/force = "1.1 kN"\s+angle = "0 °"/.test(await text()))
  assert.match(await text(), /angle = "\d+ °"/)
  await page.getByRole('button', { name: 'Undo' }).click()
  await eventually('undone', async () => /force = "1.1 kN"\s+angle = "0 °"/.test(await text()))
})

test('a layer dragged, copied, given to another family', async () => {
  const layers = page.locator('#stack [role=option]')
  const order = async () => JSON.parse(/order = (\[[^\]]*\])/.exec(await text())?.[1].replace(/,\s*\]/, ']') ?? 'null')
  const names = async () => (await layers.allTextContents()).map((t) => /lengthwise|rim/.exec(t)?.[0]).filter(Boolean).reverse()
  await eventually('layers', async () => (await names()).length === 12)
  const before = await names()
  const from = before.indexOf('rim')
  const at = (k) => layers.nth((14 + 2) - 1 - (k + 2)) // two covers below, top first
  await at(from).dragTo(at(from - 1)) // beside it, so that the list does not scroll meanwhile
  const moved = before.with(from, before[from - 1]).with(from - 1, 'rim')
  await eventually('moved', async () => JSON.stringify(await order()) === JSON.stringify(moved))
  await eventually('shown', async () => JSON.stringify(await names()) === JSON.stringify(moved))
  await page.getByRole('button', { name: 'one more like it' }).click()
  await eventually('copied', async () => JSON.stringify(await order()) === JSON.stringify(moved.toSpliced(from - 1, 0, 'rim')) && /layers = 3/.test(await text()))
  await page.getByLabel('Family of this layer').selectOption('lengthwise')
  await eventually('given away', async () => (await order()).filter((n) => n === 'rim').length === 2 && /layers = 11/.test(await text()))
  assert.ok(await page.getByRole('button', { name: 'Run', exact: true }).isEnabled())
  for (let i = 0; i < 3; i++) {
    const last = await text()
    await page.getByRole('button', { name: 'Undo' }).click()
    await eventually('undone', async () => (await text()) !== last)
  }
  assert.equal(await order(), null)
})

test('killed server: the page says so, edits stand, work goes on', async () => {
  await take(page, 'Loads')
  await write(page, 'case[0].factor', '1.8')
  await eventually('on disk', async () => /factor = 1.8/.test(await text()))
  const again = await killed()
  await page.getByText('no connection').waitFor()
  await again()
  await page.getByText('no connection').waitFor({ state: 'detached', timeout: 15000 })
  assert.match(await text(), /factor = 1.8/)
  await page.reload()
  await take(page, 'Loads')
  await eventually('still there', async () => (await entry(page, 'case[0].factor').inputValue()) === '1.8')
  await page.getByRole('button', { name: 'Undo' }).click()
  await eventually('undone after the crash', async () => !/factor = 1.8/.test(await text()))
})
