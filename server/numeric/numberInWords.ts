const SMALL =
  'zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen'.split(
    ' ',
  )
const TENS = ['', '', 'twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety']

/**
 * A number in words: 'short' as crews read it (130 "one thirty", 200 "two hundred", 105 "one hundred and five"), 'full' as it is written out
 * ("one hundred and thirty"). Whole, 0…9,999; throws RangeError otherwise.
 */
export function numberInWords(value: number, style: 'short' | 'full'): string {
  if (!(Number.isInteger(value) && value >= 0 && value <= 9999))
    throw new RangeError(`numberInWords: value must be whole, 0…9999, got ${value}`)
  if (value < 20) return SMALL[value]!
  if (value < 100) return TENS[Math.floor(value / 10)]! + (value % 10 ? ` ${SMALL[value % 10]}` : '')
  const rest = value % 100
  if (value < 1000) {
    if (style === 'short' && rest >= 10) return `${SMALL[Math.floor(value / 100)]} ${numberInWords(rest, style)}`
    return `${SMALL[Math.floor(value / 100)]} hundred${rest ? ` and ${numberInWords(rest, style)}` : ''}`
  }
  const below = value % 1000
  const tail = below === 0 ? '' : `${below < 100 ? ' and' : ''} ${numberInWords(below, 'full')}`
  return `${SMALL[Math.floor(value / 1000)]} thousand${tail}`
}
