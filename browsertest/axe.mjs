// What the screen reader is given.
import assert from 'node:assert/strict'
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

/** accessible fails with what axe-core finds against the page, but for what it calls minor. */
export async function accessible(page, what) {
  const found = await page.evaluate(
    async (source) => {
      if (!window.axe) new Function(source)()
      const r = await window.axe.run(document, { resultTypes: ['violations'] })
      return r.violations.filter((v) => v.impact !== 'minor').map((v) => `${v.id}: ${v.nodes.map((n) => n.html.slice(0, 160)).join(' | ')}`)
    },
    axe,
  )
  assert.deepEqual(found, [], what)
}
