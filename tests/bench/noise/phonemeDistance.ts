/** The channel's own idea of how near two words sound, apart from the repair's: consonants of one class 0.4, vowels 0.45, left out 0.5 to 0.8. */
const CLASSES = ['P B', 'T D', 'K G', 'F V TH DH', 'S Z SH ZH', 'CH JH', 'M N NG', 'L R', 'W Y HH']
const isVowel = (sound: string) => /^[AEIOU]/.test(sound)
const classOf = (sound: string) => CLASSES.findIndex((one) => one.split(' ').includes(sound))

function swapped(a: string, b: string): number {
  if (a === b) return 0
  if (isVowel(a) !== isVowel(b)) return 1.6
  return isVowel(a) ? 0.45 : classOf(a) === classOf(b) ? 0.4 : 1
}
const lost = (sound: string) => (isVowel(sound) ? 0.8 : /^(T|D|S|Z|R|HH)$/.test(sound) ? 0.5 : 0.75)

export function phonemeDistance(a: readonly string[], b: readonly string[]): number {
  let above = [0]
  for (const sound of b) above.push(above.at(-1)! + lost(sound))
  for (const x of a) {
    const row = [above[0]! + lost(x)]
    b.forEach((y, j) => {
      row.push(Math.min(above[j]! + swapped(x, y), above[j + 1]! + lost(x), row[j]! + lost(y)))
    })
    above = row
  }
  return above.at(-1)!
}
