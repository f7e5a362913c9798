/** What the server tells while the page is open; each kind carries its own data. */
export interface Told {
  file: { version: string }
  inputs: Record<string, never>
  run: import('../api/types').Run
  arrived: { run: string; what: string }
  result: { input_hash: string; fresh: boolean }
  gone: Record<string, never>
}

export type Listener = { [K in keyof Told]: (data: Told[K]) => void } & { line: (open: boolean) => void }

const kinds: (keyof Told)[] = ['file', 'inputs', 'run', 'arrived', 'result', 'gone']

/** listen follows a job's events until the returned function is called; the browser reconnects by itself. */
export function listen(url: string, to: Listener): () => void {
  let source: EventSource | undefined
  let timer: ReturnType<typeof setTimeout> | undefined
  const open = (): void => {
    source = new EventSource(url)
    source.onopen = () => to.line(true)
    source.onerror = () => {
      to.line(false)
      if (source?.readyState === EventSource.CLOSED) {
        clearTimeout(timer)
        timer = setTimeout(open, 1000) // a refused stream is not tried again by the browser
      }
    }
    for (const kind of kinds) {
      source.addEventListener(kind, (e) => {
        const data = JSON.parse((e as MessageEvent<string>).data) as never
        to[kind](data)
      })
    }
  }
  open()
  return () => {
    clearTimeout(timer)
    source?.close()
  }
}
