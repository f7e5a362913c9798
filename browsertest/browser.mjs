// The browser of the machine, without a window.
import { chromium } from 'playwright-core'
import { execSync } from 'node:child_process'

const path = process.env.CHROMIUM || execSync('command -v chromium').toString().trim()

export function browser() {
  return chromium.launch({ executablePath: path, args: process.getuid?.() === 0 ? ['--no-sandbox'] : [] })
}
