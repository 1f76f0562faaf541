import type { SaidElement } from './randomStage.ts'
import { oneSoundOff, sameSound, slips } from './slips.ts'

/** A word on the page and what was really said there. */
export interface HeardWord {
  readonly text: string
  /** Words that were said, numbers in digits; empty where nothing was. */
  readonly said: readonly string[]
  /** Written before it: '', ', ' or a line end. */
  readonly gap: string
}

export interface Channel {
  readonly commas: number
  readonly strayCommas: number
  readonly slips: number
  readonly lost: number
  readonly ums: number
  /** Which words a slip may put: within 0.9 of weighted sounds (absent), or one sound of any kind more, less or other. */
  readonly slipsBy?: 'one sound'
  /** Share of words written as another of exactly the same sounds. */
  readonly sameSound?: number
  /** Shares of merged (60, 4 as 64) and stuck (3, 40 as 340) digits where they may be; 0.6 and 0.3 when absent. */
  readonly merged?: number
  readonly stuck?: number
}

export const DICTATION: Channel = { commas: 0.12, strayCommas: 0.02, slips: 0.05, lost: 0.005, ums: 0.01 }

const UNITS =
  'zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen'.split(
    ' ',
  )
const TENS = ['', '', 'twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety']

/** A number as crews say it: one thirty, two hundred, sixty. */
export function numberWords(value: number): string[] {
  if (value < 20) return [UNITS[value]!]
  if (value < 100) return value % 10 === 0 ? [TENS[value / 10]!] : [TENS[Math.floor(value / 10)]!, UNITS[value % 10]!]
  const rest = value % 100
  const head = [UNITS[Math.floor(value / 100)]!]
  return rest === 0
    ? [...head, 'hundred']
    : rest < 10
      ? [...head, 'hundred', 'and', UNITS[rest]!]
      : [...head, ...numberWords(rest)]
}

/** What recognisers write for a word, and how often; general English confusions, chosen without looking at the repair's own table. */
const CONFUSIONS: Readonly<Record<string, readonly (readonly [string, number])[]>> = {
  four: [
    ['for', 0.3],
    ['fore', 0.03],
    ['far', 0.01],
  ],
  two: [
    ['to', 0.18],
    ['too', 0.17],
  ],
  one: [['won', 0.05]],
  eight: [['ate', 0.1]],
  six: [['sicks', 0.01]],
  right: [
    ['write', 0.07],
    ['rite', 0.03],
  ],
  over: [
    ['of a', 0.15],
    ['offer', 0.04],
  ],
  into: [
    ['in to', 0.12],
    ['in two', 0.03],
  ],
  past: [['passed', 0.25]],
  brake: [['break', 0.3]],
  hairpin: [['hair pin', 0.3]],
  inside: [['in side', 0.15]],
  outside: [['out side', 0.15]],
  downhill: [['down hill', 0.3]],
  "don't": [['dont', 0.3]],
  through: [
    ['threw', 0.08],
    ['thru', 0.04],
  ],
  brow: [['brown', 0.04]],
  crest: [
    ['chris', 0.05],
    ['crust', 0.04],
  ],
  left: [
    ['laughed', 0.02],
    ['lift', 0.02],
  ],
  long: [['along', 0.03]],
  and: [['an', 0.04]],
  dip: [['tip', 0.04]],
  ford: [
    ['fort', 0.05],
    ['forward', 0.03],
  ],
  gate: [['gait', 0.05]],
  tightens: [
    ['titans', 0.04],
    ['tighten', 0.06],
  ],
  caution: [['cautions', 0.02]],
}

interface Spoken {
  readonly word: string
  readonly number: number | null
  readonly opens: boolean
  readonly first: boolean
}

/** What a recogniser writes of a spoken stage: homophones, sound-alikes, split words, merged and stuck numbers, teens for tens, lost and stray commas. */
export function hear(said: readonly SaidElement[], random: () => number, channel: Channel = DICTATION): HeardWord[] {
  const chance = (share: number) => random() < share
  const style = Math.floor(random() * 3)
  const spoken: Spoken[] = said.flatMap((element) =>
    element.words.map((word, i) => ({
      word,
      number: word.startsWith('#') ? Number(word.slice(1)) : null,
      opens: element.opens && i === 0,
      first: i === 0,
    })),
  )
  const heard: HeardWord[] = []
  let sinceLine = 0
  const write = (text: string, truth: readonly string[], opens: boolean, first: boolean) => {
    if (chance(channel.lost) && truth.length === 1) return
    const comma = first && opens ? channel.commas : channel.strayCommas
    const gap = heard.length === 0 ? '' : sinceLine >= 19 ? '\n' : chance(comma) ? ', ' : ' '
    sinceLine = gap === '\n' ? 0 : sinceLine + 1
    heard.push({ text, said: truth, gap })
  }
  for (let i = 0; i < spoken.length; i++) {
    const { word, number, opens, first } = spoken[i]!
    if (chance(channel.ums)) write('um', [], opens, first)
    if (number === null) {
      writeWord(word, opens, first)
      continue
    }
    const next = spoken[i + 1]?.number ?? null
    const digits = style === 2 || (style === 1 && number >= 10)
    if (
      style > 0 &&
      next !== null &&
      number >= 20 &&
      number % 10 === 0 &&
      next < 10 &&
      number % 100 !== 0 &&
      chance(channel.merged ?? 0.6)
    ) {
      write(String(number + next), [String(number), String(next)], opens, first)
      i++
    } else if (style > 0 && next !== null && number < 10 && next >= 10 && next < 100 && chance(channel.stuck ?? 0.3)) {
      write(`${number}${next}`, [String(number), String(next)], opens, first)
      i++
    } else if (digits) write(String(number), [String(number)], opens, first)
    else writeNumber(number, opens, first)
  }
  return heard

  function writeNumber(number: number, opens: boolean, first: boolean): void {
    const words = numberWords(number)
    words.forEach((word, k) => {
      const teen = words.length === 1 && /^(thir|for|fif|six|seven|eigh|nine)ty$/.test(word) && chance(0.03)
      if (teen)
        write(
          word === 'forty' ? 'fourteen' : word.replace('ty', 'teen'),
          [String(number)],
          opens && k === 0,
          first && k === 0,
        )
      else writeWord(word, opens && k === 0, first && k === 0)
    })
  }
  function writeWord(word: string, opens: boolean, first: boolean): void {
    let at = random()
    for (const [text, share] of CONFUSIONS[word] ?? []) {
      if ((at -= share) >= 0) continue
      const parts = text.split(' ')
      // Halves of a split word are the word between them; how a repair writes them does not matter, so long as it reads the same.
      const whole = parts.length > 1 && word.startsWith(parts[0]!)
      for (let k = 0; k < parts.length; k++) {
        const said = whole ? [k === 0 ? parts[0]! : word.slice(parts[0]!.length)] : k === 0 ? [word] : []
        write(parts[k]!, said, opens && k === 0, first && k === 0)
      }
      return
    }
    const same = channel.sameSound !== undefined && chance(channel.sameSound) ? sameSound(word) : []
    const slipped = same.length === 0 && chance(channel.slips)
    const near = !slipped ? same : channel.slipsBy === undefined ? slips(word) : oneSoundOff(word)
    write(near.length > 0 ? near[Math.floor(random() * near.length)]! : word, [word], opens, first)
  }
}

/** Text of heard words, and where each stands. */
export function writeHeard(heard: readonly HeardWord[]): { text: string; places: { from: number; to: number }[] } {
  let text = ''
  const places = heard.map((one) => {
    text += one.gap
    const from = text.length
    text += one.text
    return { from, to: text.length }
  })
  return { text, places }
}

/** The stage as a careful person types it: commas between calls. */
export function typed(said: readonly SaidElement[], digits: boolean): string {
  return said
    .map((element, i) => {
      const words = element.words.map((word) =>
        !word.startsWith('#') ? word : digits ? word.slice(1) : numberWords(Number(word.slice(1))).join(' '),
      )
      return (i === 0 ? '' : element.opens ? ', ' : ' ') + words.join(' ')
    })
    .join('')
}
