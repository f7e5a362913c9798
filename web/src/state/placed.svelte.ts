import { SvelteMap } from 'svelte/reactivity'
import { untrack } from 'svelte'

/** Placed knows which keys of the job file have a place on the sheet, where their faults stand. */
class Placed {
  private readonly places = new SvelteMap<string, number>()

  /** hold notes a place until the returned function is called. */
  hold(key: string): () => void {
    this.count(key, 1)
    return () => this.count(key, -1)
  }

  /** has tells whether the key, or the list that it is an item of, has a place. */
  has(key: string): boolean {
    return this.places.has(key) || this.places.has(key.replace(/(\[\d+\])+$/, ''))
  }

  private count(key: string, by: number): void {
    untrack(() => {
      const n = (this.places.get(key) ?? 0) + by
      if (n) this.places.set(key, n)
      else this.places.delete(key)
    })
  }
}

export const placed = new Placed()
