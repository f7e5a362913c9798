// The real server on a workspace of its own, made from the example jobs.
import { spawn } from 'node:child_process'
import { cpSync, mkdtempSync, rmSync, existsSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const root = fileURLToPath(new URL('..', import.meta.url))
export const program = join(root, 'bin', 'sinew')

/** workspace copies the inputs of example jobs into a new folder. */
export function workspace(...jobs) {
  if (!existsSync(program)) throw new Error('bin/sinew is missing: make bin/sinew first')
  const dir = mkdtempSync(join(tmpdir(), 'sinew-page-'))
  for (const j of jobs) cpSync(join(root, 'examples', j), join(dir, j), { recursive: true, filter: (f) => !f.endsWith('/out') })
  return dir
}

export function drop(dir) {
  rmSync(dir, { recursive: true, force: true })
}

/** start serves a workspace; its answer can be stopped, or killed as a power cut would. */
export async function start(dir, listen = '127.0.0.1:0') {
  const child = spawn(program, ['serve', dir, '--no-browser', '--quiet', '--listen', listen], { stdio: ['ignore', 'pipe', 'pipe'] })
  let said = ''
  child.stderr.on('data', (d) => (said += d))
  const url = await new Promise((done, fail) => {
    let text = ''
    child.stdout.on('data', (d) => {
      text += d
      const m = /http:\S+/.exec(text)
      if (m) done(m[0])
    })
    child.once('exit', (code) => fail(new Error(`server ended with ${code}: ${said}`)))
  })
  let wanted = false
  const ended = new Promise((done) =>
    child.once('exit', (code, signal) => {
      if (!wanted) console.error(`server ended by itself (${code ?? signal}): ${said.slice(-4000)}`)
      done()
    }),
  )
  return {
    url,
    listen: new URL(url).host,
    kill: async () => {
      wanted = true
      child.kill('SIGKILL')
      await ended
    },
    stop: async () => {
      wanted = true
      child.kill('SIGTERM')
      await ended
    },
  }
}
