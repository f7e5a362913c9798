// What a user does on the page, in a few words each, and the set-up to do it on.
import assert from 'node:assert/strict'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { after, afterEach, before, beforeEach } from 'node:test'
import { browser } from './browser.mjs'
import { drop, start, workspace } from './server.mjs'

/** What a file of tests works on once it has called setUp; a page is for one test. Each file runs in a process of its own. */
export let dir, server, page

let chrome, errors

/**
 * setUp serves example jobs to a file of tests, in a workspace that prepare may
 * change first, and gives each test a new page, on which the job to show is
 * open. A test in which the page throws an error has failed.
 */
export function setUp({ jobs, prepare, show }) {
  before(async () => {
    dir = workspace(...jobs)
    await prepare?.(dir)
    server = await start(dir)
    chrome = await browser()
  })
  after(async () => {
    await chrome?.close()
    await server?.stop()
    if (dir) drop(dir)
  })
  beforeEach(async () => {
    const context = await chrome.newContext({ viewport: { width: 1440, height: 900 } })
    page = await context.newPage()
    page.setDefaultTimeout(60000)
    errors = []
    page.on('pageerror', (e) => errors.push(e.message))
    if (show) await open(page, server, show)
  })
  afterEach(async () => {
    await page?.context().close()
    assert.deepEqual(errors, [], 'errors that the page threw')
  })
}

/** killed ends the server as a power cut would; what it gives back starts it again at the same place. */
export async function killed() {
  const where = server.listen
  await server.kill()
  return async () => {
    server = await start(dir, where)
  }
}

/** unrefined puts off the refinement of a job and adds more keys at its end: how good a design is is no matter of the page. */
export function unrefined(dir, job, more = '') {
  const path = join(dir, job, 'job.toml')
  const text = readFileSync(path, 'utf8')
  const table = '[layup.refine]\n'
  const off = text.includes(table) ? text.replace(table, `${table}steps = 0\n`) : `${text}\n${table}steps = 0\n`
  writeFileSync(path, off + more)
}

/** open shows a job, which must be without faults, and waits until its part is there. */
export async function open(page, server, job) {
  const file = await (await fetch(`${server.url}api/jobs/${job}/file`)).json()
  assert.deepEqual(file.faults ?? [], [], `the job file of ${job}`)
  await page.goto(`${server.url}#${job}`)
  await page.getByRole('heading', { level: 1 }).waitFor()
  await page.getByTestId('verdict').waitFor()
}

/** take puts a section of the sheet in hand. */
export async function take(page, name) {
  const head = page.getByRole('heading', { level: 2, name: new RegExp(name) }).getByRole('button')
  const section = page.locator('section', { has: head }).first()
  if (!(await section.evaluate((e) => e.classList.contains('inhand')))) await head.click()
  return page.locator('section', { has: head }).first()
}

/** entry is the place where a key of the job file is written. */
export function entry(page, key) {
  return page.locator(`[data-key="${key}"]`)
}

/** write types into an entry and leaves it. */
export async function write(page, key, text) {
  const e = entry(page, key)
  await e.fill(text)
  const sent = page.waitForResponse((r) => r.request().method() === 'PATCH')
  await e.press('Enter')
  await sent
  await page.waitForFunction(([k, t]) => document.querySelector(`[data-key="${k}"]`)?.value === t, [key, text])
}

/** fileText asks the server for the job file as it is. */
export async function fileText(server, job) {
  const answer = await fetch(`${server.url}api/jobs/${job}/file`)
  assert.equal(answer.status, 200)
  return (await answer.json()).text
}

/** eventually waits until the condition holds; it fails with what was seen last. */
export async function eventually(what, f, ms = 10000) {
  const until = Date.now() + ms
  let last
  while (Date.now() < until) {
    try {
      last = await f()
      if (last) return last
    } catch (e) {
      last = e
    }
    await new Promise((r) => setTimeout(r, 60))
  }
  assert.fail(`${what}: ${last}`)
}

/** run presses Run and waits for the end. */
export async function run(page, ms = 120000) {
  await page.getByRole('button', { name: 'Run', exact: true }).click()
  await page.getByRole('button', { name: 'Cancel', exact: true }).waitFor()
  await page.getByRole('button', { name: 'Run', exact: true }).waitFor({ timeout: ms })
}

/** partPoint gives the pixel of the page at which a point of the part lies, once the part is on the board and stands still. */
export async function partPoint(page, x, y) {
  let last = ''
  return eventually('part on the board', async () => {
    const p = await page.evaluate(
      ([px, py]) => {
        const svg = document.querySelector('svg.overlay')
        const { fitted, cx, cy, scale } = svg.dataset
        if (fitted !== 'true') return null
        const box = svg.getBoundingClientRect()
        return { x: box.left + box.width / 2 + (px - cx) * scale, y: box.top + box.height / 2 - (py - cy) * scale }
      },
      [x, y],
    )
    const now = JSON.stringify(p)
    const still = p && now === last
    last = now
    return still ? p : null
  })
}
