const GRADES = ['one', 'two', 'three', 'four', 'five', 'six']
const pick = <T>(list: readonly T[], random: () => number): T => list[Math.floor(random() * list.length)]!

/** Made-up calls as words: a grade and a side, and what may belong to them; about five words each. */
export function syntheticCalls(count: number, random: () => number): { words: string[]; linked: boolean }[] {
  return Array.from({ length: count }, () => {
    const words: string[] = []
    if (random() < 0.08) words.push('caution')
    if (random() < 0.06) words.push('slowing')
    words.push(...pick([[pick(GRADES, random)], ['hairpin'], ['square']].slice(0, random() < 0.9 ? 1 : 3), random))
    words.push(random() < 0.5 ? 'left' : 'right')
    if (random() < 0.25) words.push(pick(['long', 'short'], random))
    if (random() < 0.18) words.push('tightens', pick(GRADES, random))
    else if (random() < 0.12) words.push('opens')
    if (random() < 0.18) words.push('over', pick(['crest', 'bump', 'jump'], random))
    if (random() < 0.2)
      words.push(
        ...pick(
          [
            ["don't", 'cut'],
            ['rocks', 'inside'],
            ['keep', 'in'],
            ['ditch', 'outside'],
          ],
          random,
        ),
      )
    const linked = random() < 0.3
    if (linked) words.push(pick(['into', 'and'], random))
    else if (random() < 0.6)
      words.push(
        ...pick(['thirty', 'forty', 'fifty', 'sixty', 'eighty', 'one hundred', 'one twenty'], random).split(' '),
      )
    return { words, linked }
  })
}
