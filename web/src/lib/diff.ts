/** Line differences of two texts, with a little of what stands around them. */

export interface Line {
  kind: 'same' | 'in' | 'out' | 'gap'
  text: string
}

/** lines compares by the longest common run of lines; job files are short. */
export function lines(before: string, after: string, around = 1): Line[] {
  const a = before.split('\n')
  const b = after.split('\n')
  const [n, m] = [a.length, b.length]
  const common = Array.from({ length: n + 1 }, () => new Uint16Array(m + 1))
  for (let i = n - 1; i >= 0; i--) {
    for (let j = m - 1; j >= 0; j--) {
      common[i]![j] = a[i] === b[j] ? common[i + 1]![j + 1]! + 1 : Math.max(common[i + 1]![j]!, common[i]![j + 1]!)
    }
  }
  const all: Line[] = []
  let [i, j] = [0, 0]
  while (i < n || j < m) {
    if (i < n && j < m && a[i] === b[j]) all.push({ kind: 'same', text: a[i++]! }), j++
    else if (i < n && (j >= m || common[i + 1]![j]! >= common[i]![j + 1]!)) all.push({ kind: 'out', text: a[i++]! })
    else all.push({ kind: 'in', text: b[j++]! })
  }
  return folded(all, around)
}

function folded(all: readonly Line[], around: number): Line[] {
  const near = (k: number): boolean => {
    for (let d = -around; d <= around; d++) if (all[k + d] && all[k + d]!.kind !== 'same') return true
    return false
  }
  const out: Line[] = []
  all.forEach((l, k) => {
    if (l.kind !== 'same' || near(k)) out.push(l)
    else if (out.length && out.at(-1)!.kind !== 'gap') out.push({ kind: 'gap', text: '…' })
  })
  return out
}
