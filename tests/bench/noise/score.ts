/** Pairs [i, j] of a longest common subsequence of two lists. */
export function aligned(a: readonly string[], b: readonly string[]): [number, number][] {
  const width = b.length + 1
  const length = new Int32Array((a.length + 1) * width)
  for (let i = a.length - 1; i >= 0; i--) {
    for (let j = b.length - 1; j >= 0; j--) {
      length[i * width + j] =
        a[i] === b[j]
          ? length[(i + 1) * width + j + 1]! + 1
          : Math.max(length[(i + 1) * width + j]!, length[i * width + j + 1]!)
    }
  }
  const pairs: [number, number][] = []
  for (let i = 0, j = 0; i < a.length && j < b.length; ) {
    if (a[i] === b[j]) pairs.push([i++, j++])
    else if (length[(i + 1) * width + j]! >= length[i * width + j + 1]!) i++
    else j++
  }
  return pairs
}

export interface Score {
  /** Elements right, and the larger of the two counts. */
  readonly right: number
  readonly of: number
  /** Stretches that are wrong, as text ranges between the elements that are right. */
  readonly wrong: readonly { readonly from: number; readonly to: number; readonly elements: number }[]
}

/** A parse against the key, by kind and value. */
export function score(
  key: readonly { kind: string; value: string }[],
  read: readonly { kind: string; value: string; from: number; to: number }[],
  length: number,
): Score {
  const name = (one: { kind: string; value: string }) => `${one.kind} ${one.value}`
  const pairs = aligned(key.map(name), read.map(name))
  const wrong: { from: number; to: number; elements: number }[] = []
  let last: [number, number] = [-1, -1]
  for (const pair of [...pairs, [key.length, read.length] as [number, number]]) {
    const missing = Math.max(pair[0] - last[0], pair[1] - last[1]) - 1
    if (missing > 0) {
      const from = last[1] < 0 ? 0 : read[last[1]]!.to
      const to = pair[1] >= read.length ? length : read[pair[1]]!.from
      wrong.push({ from, to: Math.max(from, to), elements: missing })
    }
    last = pair
  }
  return { right: pairs.length, of: Math.max(key.length, read.length), wrong }
}
