// A server that answers the page from memory: for pictures no real job has,
// such as a million pieces of strand.
import { createServer } from 'node:http'
import { readFile } from 'node:fs/promises'
import { fileURLToPath } from 'node:url'
import { join, normalize } from 'node:path'

const dist = fileURLToPath(new URL('../web/dist', import.meta.url))
const types = { html: 'text/html', js: 'text/javascript', css: 'text/css', svg: 'image/svg+xml', txt: 'text/plain' }

/** The policy that the real server sends; the page must live with it. */
const policy =
  "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; font-src 'self'; worker-src 'self' blob:; frame-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"

/** pack writes a binary view: a header in JSON, then arrays at multiples of eight. */
export function pack(kind, arrays, meta = {}) {
  let offset = 0
  const heads = Object.entries(arrays).map(([name, [data, items]]) => {
    const type = data instanceof Float32Array ? 'f32' : data instanceof Uint32Array ? 'u32' : 'u8'
    const head = { name, type, items, count: data.length / items, offset }
    offset += Math.ceil(data.byteLength / 8) * 8
    return head
  })
  let text = JSON.stringify({ kind, arrays: heads, ...meta })
  while ((8 + Buffer.byteLength(text)) % 8) text += ' '
  const head = Buffer.from(text)
  const out = Buffer.alloc(8 + head.length + offset)
  out.write('SNWV', 0, 'latin1')
  out.writeUInt32LE(head.length, 4)
  head.copy(out, 8)
  Object.values(arrays).forEach(([data], i) => Buffer.from(data.buffer, data.byteOffset, data.byteLength).copy(out, 8 + head.length + heads[i].offset))
  return out
}

/** serve answers /api paths from the table given: a value as JSON, a buffer as it is, a function of the URL. */
export async function serve(table) {
  const server = createServer(async (request, answer) => {
    const url = new URL(request.url, 'http://here')
    if (url.pathname.endsWith('/events')) {
      answer.writeHead(200, { 'Content-Type': 'text/event-stream', 'Cache-Control': 'no-store' })
      answer.write('event: file\ndata: {"version":"x"}\n\nevent: result\ndata: {"input_hash":"x","fresh":true}\n\n')
      return
    }
    if (url.pathname.startsWith('/api')) {
      let found = table[decodeURIComponent(url.pathname)]
      if (typeof found === 'function') found = found(url)
      if (found === undefined) {
        answer.writeHead(404, { 'Content-Type': 'application/problem+json' })
        return answer.end(JSON.stringify({ title: 'not here', status: 404, detail: 'not here' }))
      }
      const binary = Buffer.isBuffer(found)
      answer.writeHead(200, { 'Content-Type': binary ? 'application/octet-stream' : 'application/json' })
      return answer.end(binary ? found : JSON.stringify(found))
    }
    const path = normalize(url.pathname === '/' ? '/index.html' : url.pathname)
    try {
      const data = await readFile(join(dist, path))
      answer.writeHead(200, { 'Content-Type': types[path.split('.').at(-1)] ?? 'application/octet-stream', 'Content-Security-Policy': policy })
      answer.end(data)
    } catch {
      answer.writeHead(404)
      answer.end()
    }
  })
  await new Promise((done) => server.listen(0, '127.0.0.1', done))
  return { url: `http://127.0.0.1:${server.address().port}/`, close: () => server.close() }
}
