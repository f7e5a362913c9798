import { readFileSync, readdirSync } from 'node:fs'
import { join, sep } from 'node:path'
import { svelte } from '@sveltejs/vite-plugin-svelte'
import { defineConfig, type Plugin } from 'vite'

/**
 * licences writes the licence texts of the libraries in the bundle beside it,
 * in the order of their names: their terms ask for it.
 */
function licences(): Plugin {
  return {
    name: 'licences',
    generateBundle(_, bundle) {
      const roots = new Set<string>()
      for (const chunk of Object.values(bundle)) {
        if (chunk.type !== 'chunk') continue
        for (const id of Object.keys(chunk.modules)) {
          const at = id.lastIndexOf(`node_modules${sep}`)
          if (at < 0) continue
          const rest = id.slice(at + 13).split(sep)
          const name = rest[0]!.startsWith('@') ? `${rest[0]}/${rest[1]}` : rest[0]!
          roots.add(name)
        }
      }
      const texts = [...roots].sort().map((name) => {
        const dir = join('node_modules', name)
        const about = JSON.parse(readFileSync(join(dir, 'package.json'), 'utf8')) as { license: string }
        const file = readdirSync(dir).find((f) => /^licen[cs]e/i.test(f))
        const text = file ? readFileSync(join(dir, file), 'utf8').trim() : ''
        return `${name} (${about.license})\n\n${text}\n`
      })
      this.emitFile({ type: 'asset', fileName: 'LICENSES.txt', source: texts.join(`\n${'-'.repeat(72)}\n\n`) })
    },
  }
}

// File names carry no hash: the server answers with an entity tag, and the
// committed bundle changes in place.
export default defineConfig({
  base: './',
  plugins: [svelte(), licences()],
  build: {
    target: 'es2022',
    outDir: 'dist',
    emptyOutDir: true,
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 1200,
    rollupOptions: {
      output: {
        entryFileNames: 'assets/[name].js',
        chunkFileNames: 'assets/[name].js',
        assetFileNames: 'assets/[name][extname]',
      },
    },
  },
})
