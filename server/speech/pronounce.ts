/** "say `write` as `say`": a row of a crew's own list. */
export interface SayAs {
  readonly write: string
  readonly say: string
}

/**
 * What is said with a crew's own list applied: each row's words, as a whole and in any case, become what the row says; longer rows go first, and what one row
 * has put in is not changed by another. "Hp left" with Hp → hairpin is "hairpin left"; "Hps" stays. Numbers can be named too ("6" → "six plus").
 */
export function pronounce(say: string, list: readonly SayAs[]): string {
  const rows = list.filter((row) => row.write.trim() !== '').sort((a, b) => b.write.length - a.write.length)
  if (rows.length === 0) return say
  const words = rows.map((row) => row.write.trim().split(/\s+/).map(escaped).join('\\s+'))
  const pattern = new RegExp(
    `(?<![\\p{L}\\p{N}])(?:${words.map((word) => `(${word})`).join('|')})(?![\\p{L}\\p{N}])`,
    'giu',
  )
  return say.replace(pattern, (...groups) => {
    const row = groups.slice(1, rows.length + 1).findIndex((group) => group !== undefined)
    return rows[row]!.say
  })
}

const escaped = (text: string) => text.replace(/[\\^$.*+?()[\]{}|/-]/g, '\\$&')
