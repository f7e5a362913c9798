/** Short words to the user that belong to no place on the sheet. */

export interface Notice {
  id: number
  text: string
  kind: 'plain' | 'good' | 'bad'
}

class Notices {
  list = $state<Notice[]>([])
  private next = 1

  say(text: string, kind: Notice['kind'] = 'plain'): void {
    const id = this.next++
    this.list = [...this.list.slice(-3), { id, text, kind }]
    if (kind !== 'bad') setTimeout(() => this.drop(id), 8000)
  }

  drop(id: number): void {
    this.list = this.list.filter((n) => n.id !== id)
  }

  error(e: unknown): void {
    this.say(e instanceof Error ? e.message : String(e), 'bad')
  }

  /** guard runs f and says what went wrong, if anything did. */
  async guard<A>(f: () => Promise<A>): Promise<A | undefined> {
    try {
      return await f()
    } catch (e) {
      this.error(e)
      return undefined
    }
  }
}

export const notices = new Notices()
