// The board's tools and pictures on a proved job: measure, probe, cut, strand
// by strand, playback, shapes as a plate, paths brought in, loops, history.
import assert from 'node:assert/strict'
import { execFileSync } from 'node:child_process'
import { join } from 'node:path'
import { test } from 'node:test'
import { accessible } from './axe.mjs'
import { program } from './server.mjs'
import { entry, eventually, fileText, open, page, partPoint, server, setUp, take, unrefined, write } from './sheet.mjs'

const coarse = `
[mesh]
size = "3 mm"
tolerance = "20 %"

[analysis]
bending = true
buckling = 1
frequencies = 1
warp = true
`

setUp({
  jobs: ['hanger', 'pocketed-link'],
  show: 'hanger',
  prepare: (dir) => {
    unrefined(dir, 'hanger', coarse)
    try {
      execFileSync(program, ['run', join(dir, 'hanger'), '--quiet'], { stdio: 'pipe' })
    } catch (e) {
      if (e.status !== 1) throw e // 1 says that the part misses a requirement
    }
  },
})

const text = () => fileText(server, 'hanger')
const button = (name) => page.getByRole('button', { name, exact: true })

/** at gives the pixel of a point of the part, once the board is fitted to it and stands still. */
async function at(x, y) {
  let last
  return eventually('drawn', async () => {
    const now = await partPoint(page, x, y)
    const still = last && now.x === last.x && now.y === last.y && (await page.locator('svg.overlay[data-fitted=true]').count()) > 0
    last = now
    return still && now
  })
}

/** undone takes steps back until the job file is as wanted. */
async function undone(wanted) {
  for (let i = 0; i < 8; i++) {
    if (wanted(await text())) return
    const answered = page.waitForResponse((r) => r.url().endsWith('/undo'))
    await button('Undo').click()
    await answered
  }
  assert.fail('no step back leads there')
}

async function click(x, y) {
  const p = await at(x, y)
  await page.mouse.click(p.x, p.y)
}

/** drawn waits until nothing is on its way from the server. */
const drawn = () => page.getByText('being worked out …').waitFor({ state: 'detached' })

/** pixels gives the board's picture, four numbers each. */
async function pixels() {
  const png = (await page.locator('#board canvas').screenshot()).toString('base64')
  return page.evaluate(async (data) => {
    const image = new Image()
    image.src = `data:image/png;base64,${data}`
    await image.decode()
    const c = document.createElement('canvas')
    c.width = image.width
    c.height = image.height
    const g = c.getContext('2d')
    g.drawImage(image, 0, 0)
    return [...g.getImageData(0, 0, c.width, c.height).data]
  }, png)
}

/** inked counts the pixels of the board whose colour is far from grey. */
async function inked() {
  const px = await pixels()
  let n = 0
  for (let i = 0; i < px.length; i += 4) if (Math.max(px[i], px[i + 1], px[i + 2]) - Math.min(px[i], px[i + 1], px[i + 2]) > 60) n++
  return n
}

/** colours counts the pixels of the board of each colour given. */
async function colours(list) {
  const px = await pixels()
  return list.map((text) => {
    const want = text.match(/\d+/g).map(Number)
    let n = 0
    for (let i = 0; i < px.length; i += 4) if (want.every((v, k) => Math.abs(px[i + k] - v) <= 2)) n++
    return n
  })
}

test('a distance measured from hole to hole', async () => {
  await button('Measure').click()
  await click(0, 0.5) // catches the centre
  await click(158, 0.5)
  const told = page.locator('.measure text')
  await eventually('measured', async () => /158/.test(await told.textContent()))
  assert.match(await told.textContent(), /Δx 158\.00, Δy 0\.00/)
})

test('a probe placed on the board, and taken back', async () => {
  await button('Probe').click()
  await click(120, 6)
  await eventually('in the job', async () => /name = "probe 3"\s+point = \["1(19|20)/.test(await text()))
  await page.getByRole('img', { name: 'probe probe 3' }).waitFor()
  await button('Undo').click()
  await eventually('gone', async () => !/probe 3/.test(await text()))
})

test('a line that plots along itself and cuts the stack', async () => {
  await take(page, 'Strength')
  await drawn()
  await button('Cut').click()
  const [a, b] = [await at(60, -24), await at(60, 24)]
  await page.mouse.move(a.x, a.y)
  await page.mouse.down()
  await page.mouse.move((a.x + b.x) / 2, (a.y + b.y) / 2, { steps: 4 })
  await page.mouse.move(b.x, b.y, { steps: 4 })
  await page.mouse.up()
  await page.getByRole('figure').filter({ hasText: 'along A–B' }).waitFor()
  await page.getByText('cut A–B').waitFor()
  await page.getByLabel('Quantity').selectOption({ label: 'stress along x, mean of the layers, MPa' })
  await page.getByRole('figure').filter({ hasText: 'stress along x' }).filter({ hasText: 'along A–B' }).waitFor()
  await button('Close the plot').click()
  await page.getByText('cut A–B').waitFor({ state: 'detached' })
})

test('kinds of plastic bead are coloured apart, and named', async () => {
  await take(page, 'Lay-up')
  await button('Strands').click()
  const layer = page.locator('.head label', { hasText: /^Layer/ }).locator('select')
  await layer.selectOption({ index: 1 })
  await drawn()
  const legend = page.getByRole('figure').filter({ hasText: 'Plastic in this layer' })
  await eventually('named', async () => /cover/.test(await legend.textContent()) && /wall/.test(await legend.textContent()))
  const inks = await legend.locator('rect').evaluateAll((list) => list.map((r) => getComputedStyle(r).fill))
  assert.equal(new Set(inks).size, inks.length, `colours ${inks}`)
  await eventually('painted', async () => {
    const seen = await colours(inks)
    return seen.every((n) => n > 200)
  })
  await accessible(page, 'strands with their plastic')
})

test('a strand plotted along its length', async () => {
  await take(page, 'Lay-up')
  await drawn()
  for (let y = 4; y < 13 && !(await page.getByRole('group', { name: /^Strand \d+ of layer/ }).count()); y += 0.5) await click(50, y)
  const plot = page.getByRole('group', { name: /^Strand \d+ of layer/ })
  for (const what of ['stress along the fibre', 'curvature', 'bead width', 'tow share', 'use']) {
    await plot.getByRole('button', { name: what, exact: true }).click()
    await plot.getByRole('figure').filter({ hasText: `${what} along the strand` }).waitFor()
  }
  await plot.getByRole('button', { name: 'Close the strand’s plot' }).or(plot.getByRole('button', { name: "Close the strand's plot" })).click()
  await plot.waitFor({ state: 'detached' })
})

test('the program played, layer by layer and in time', async () => {
  await take(page, 'Program')
  const player = page.getByRole('group', { name: 'Playing the program' })
  const facts = player.getByTestId('film')
  await facts.waitFor()
  const first = await facts.textContent()
  for (let i = 0; i < 4; i++) await player.getByRole('button', { name: 'Next layer' }).click()
  await eventually('further on', async () => (await facts.textContent()) !== first)
  const time = player.getByRole('slider', { name: 'Time on the machine' })
  const before = Number(await time.inputValue())
  assert.ok(before > 0)
  await player.getByLabel('speed').selectOption({ label: '1200 ×' })
  await player.getByRole('button', { name: 'Play', exact: true }).click()
  await eventually('it runs', async () => Number(await time.inputValue()) > before + 10)
  await player.getByRole('button', { name: 'Pause' }).click()
  assert.ok((await inked()) > 500, 'strands are drawn as they are laid')
})

test('the part as a plate: bent, buckling, swinging, warped', async () => {
  await take(page, 'Strength')
  for (const name of ['Show how full boom bends the part', 'Show buckling 1 under wind lifts the boom', 'Show vibration 1', 'Show the warp']) {
    await page.getByRole('button', { name }).click()
    await page.getByRole('button', { name, pressed: true }).waitFor()
    await drawn()
    await page.getByRole('figure').filter({ hasText: 'across the plane' }).waitFor()
    assert.ok((await inked()) > 3000, `${name}: the shape is coloured`)
  }
  await accessible(page, 'shapes as a plate')
  await page.getByLabel('Shape').selectOption({ label: 'in its plane' })
  await page.getByRole('button', { name: 'Show the warp', pressed: false }).waitFor()
})

test('stress at the bottom and the top of a layer', async () => {
  await take(page, 'Strength')
  await page.getByLabel('Quantity').selectOption({ label: 'stress along the strands, MPa' })
  await page.locator('.head label', { hasText: /^Layer/ }).locator('select').selectOption({ index: 4 })
  await drawn()
  const foot = page.locator('figure.legend .foot')
  await eventually('shown', async () => /MPa to/.test(await foot.textContent()))
  const middle = await foot.textContent()
  await page.getByLabel(/At the layer/).selectOption('top')
  await eventually('another stress', async () => (await foot.textContent()) !== middle)
  await page.getByLabel('Quantity').selectOption({ label: 'reserve factor, puck' })
  await page.getByRole('figure').filter({ hasText: 'reserve factor, puck' }).waitFor()
})

test('a loop round a hole by one click, locked elsewhere, deleted by a key', async () => {
  const before = await text()
  await take(page, 'Lay-up')
  await page.getByRole('button', { name: 'Draw a strand' }).click()
  await click(84, 0)
  await eventually('a closed strand', async () => /kind = "drawn"/.test(await text()))
  const loop = JSON.parse(/paths = (\[[\s\S]*?\n\])/.exec(await text())[1].replace(/,\s*\]/g, ']'))[0]
  assert.deepEqual(loop[0], loop.at(-1))
  const group = page.getByRole('group', { name: /Drawn strands/ })
  await group.getByLabel('laid in').selectOption({ label: 'the layers of rim, locked' })
  await eventually('locked', async () => /into = "rim"/.test(await text()))
  await group.getByLabel('laid in').selectOption({ label: 'layers of their own' })
  await eventually('free', async () => !/into =/.test(await text()))
  await group.getByRole('button', { name: 'Show drawn strand 1' }).click()
  await page.locator('#board').focus()
  await page.keyboard.press('Delete')
  await eventually('gone', async () => !/kind = "drawn"/.test(await text()))
  await button('Undo').click()
  await eventually('there again', async () => /kind = "drawn"/.test(await text()))
  await button('Redo').click()
  await eventually('gone again', async () => !/kind = "drawn"/.test(await text()))
  await undone((t) => t === before)
})

test('paths brought in, from a drawing and from a picture', async () => {
  const before = await text()
  await take(page, 'Lay-up')
  const dxf = ['0', 'SECTION', '2', 'HEADER', '9', '$INSUNITS', '70', '4', '0', 'ENDSEC', '0', 'SECTION', '2', 'ENTITIES', '0', 'LWPOLYLINE', '8', 'HAND', '90', '2', '70', '0', '10', '20', '20', '12', '10', '110', '20', '12', '0', 'ENDSEC', '0', 'EOF', ''].join('\n')
  const svg = '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="40mm" viewBox="0 0 200 40"><path d="M20 8 L110 8" fill="none" stroke="black"/></svg>'
  for (const [name, data] of [['by-hand.dxf', dxf], ['by-eye.svg', svg]]) {
    await page.locator('label:has-text("Bring in paths") input').setInputFiles({ name, mimeType: 'application/octet-stream', buffer: Buffer.from(data) })
    await eventually(`${name} is in the job`, async () => (await text()).includes(`drawing = "${name}"`))
    await page.getByRole('group', { name: `Drawn strands ${name.split('.')[0]}` }).waitFor()
  }
  await eventually('drawn on the board', async () => (await page.locator('path.brought').count()) >= 1)
  await undone((t) => t === before)
})

test('the job text of an earlier run taken back', async () => {
  const before = await text()
  await take(page, 'Loads')
  await write(page, 'case[1].load[0].force', '0.7 kN')
  await button('History').click()
  const leaf = page.getByRole('dialog', { name: 'Runs of this job' })
  await leaf.getByRole('button', { name: 'look' }).first().click()
  await leaf.getByText('case[1].load[0].force').first().waitFor()
  await leaf.getByRole('button', { name: /job text back/ }).click()
  await eventually('taken back', async () => (await text()) === before)
  await page.keyboard.press('Escape')
  await take(page, 'Loads')
  await eventually('on the sheet', async () => (await entry(page, 'case[1].load[0].force').inputValue()) === '0.5 kN')
})

test('an earlier version of the job set beside it', async () => {
  const before = await text()
  await take(page, 'Loads')
  await write(page, 'case[0].load[0].force', '1.0 kN')
  await page.getByRole('button', { name: 'Prove', exact: true }).click()
  await page.getByRole('button', { name: 'Cancel', exact: true }).waitFor()
  await page.getByRole('button', { name: 'Run', exact: true }).waitFor({ timeout: 120000 })
  await button('Compare').click()
  const leaf = page.getByRole('dialog', { name: 'Designs side by side' })
  await leaf.getByRole('group', { name: 'Versions to set beside it' }).getByRole('checkbox').first().check()
  const table = leaf.getByRole('table').filter({ hasText: 'changed from it to now' })
  await table.getByText('case[0].load[0].force').waitFor()
  await table.getByRole('img').first().waitFor()
  await accessible(page, 'versions side by side')
  const [now, then] = await table.getByRole('row', { name: /^reserve, full boom/ }).getByRole('cell').allTextContents()
  assert.ok(parseFloat(now) > parseFloat(then), `with less load ${now}, before ${then}`)
  await page.keyboard.press('Escape')
  await undone((t) => t === before)
})

test('a pocket is drawn on the board and cut in the stack', async () => {
  await open(page, server, 'pocketed-link')
  await take(page, 'Loads')
  await button('In the round').click()
  await page.getByRole('button', { name: 'In the round', pressed: true }).waitFor()
  await button('In the round').click()
  // a line across the pocket: layers above its floor are in two pieces, those below in one
  await button('Cut').click()
  const [a, b] = [await at(60, -30), await at(60, 30)]
  await page.mouse.move(a.x, a.y)
  await page.mouse.down()
  await page.mouse.move(b.x, b.y, { steps: 6 })
  await page.mouse.up()
  await page.getByText('cut A–B').waitFor()
  const pieces = await page.locator('#stack .row').evaluateAll((rows) => rows.map((r) => r.querySelectorAll('rect.body').length))
  assert.equal(pieces[0], 2, 'the top layer')
  assert.equal(pieces.at(-1), 1, 'the lowest layer')
})
