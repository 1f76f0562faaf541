/** How strongly two tokens are kept apart by what stands between them; evidence, never structure. */
export type Separation = 0 | 1 | 1.5 | 2 | 3
export const COMMA = 1
export const LINE_END = 2
export const COMMENT = 3

export interface Token {
  /** Lower case, typographic apostrophes made plain. */
  readonly text: string
  /** UTF-16, half-open. */
  readonly from: number
  readonly to: number
  /** What stands before it: 0 nothing, 1 comma or the like, 1.5 full stop, 2 line end, 3 start of the text or a comment line. */
  readonly before: Separation
  /** No space before it. */
  readonly glued: boolean
  readonly line: number
}

/** Symbols that are read as one, longest first. */
const SYMBOLS = [
  '!!!',
  '!!',
  '->',
  '>>',
  '<<',
  '++',
  '--',
  '!',
  '>',
  '<',
  '+',
  '-',
  '/',
  '&',
  '@',
  '°',
  '½',
  '→',
  '»',
  '?',
]

const isDigit = (c: number) => c >= 48 && c <= 57
const isLetter = (c: number) =>
  (c >= 97 && c <= 122) || (c >= 65 && c <= 90) || (c > 127 && /\p{L}|\p{M}/u.test(String.fromCharCode(c)))
const isApostrophe = (c: number) => c === 39 || c === 0x2019

/**
 * Splits text into words, numbers and symbols, by character code: linear, and every character outside white space belongs to a token or to
 * a separator. Letters stuck to digits come apart (`6L`). A hyphen between two words of two letters and more is glue, not a token. Lines that
 * begin with `#` are comments. `splitWord` may cut an unknown word in two (`HpR`); it gets the lower-case word and returns where, or 0.
 */
export function tokenize(text: string, splitWord: (word: string) => number = () => 0): Token[] {
  const tokens: Token[] = []
  let before: Separation = COMMENT
  let line = 1
  let i = 0
  let lineStart = true
  const raise = (to: Separation) => {
    if (to > before) before = to
  }
  const push = (from: number, to: number, word = text.slice(from, to)) => {
    const previous = tokens.at(-1)
    tokens.push({ text: word, from, to, before, glued: previous !== undefined && previous.to === from, line })
    before = 0
    lineStart = false
  }
  while (i < text.length) {
    const c = text.charCodeAt(i)
    if (c === 10) {
      raise(LINE_END)
      line++
      lineStart = true
      i++
    } else if (c === 32 || c === 9 || c === 13 || c === 0xa0 || c === 0xfeff) i++
    else if (c === 35 && lineStart) {
      while (i < text.length && text.charCodeAt(i) !== 10) i++
      raise(COMMENT)
    } else if (isDigit(c)) {
      let to = i + 1
      while (to < text.length && isDigit(text.charCodeAt(to))) to++
      push(i, to)
      i = to
    } else if (isLetter(c)) i = pushWord(text, i, push, splitWord)
    else if (
      c === 44 ||
      c === 59 ||
      c === 58 ||
      c === 40 ||
      c === 41 ||
      c === 0x2013 ||
      c === 0x2014 ||
      c === 34 ||
      c === 0x201c ||
      c === 0x201d
    ) {
      raise(COMMA)
      lineStart = false
      i++
    } else if (c === 46) {
      raise(1.5)
      i++
    } else if (c === 45 && isGlue(text, i, tokens.at(-1))) i++
    else {
      const symbol = SYMBOLS.find((one) => text.startsWith(one, i))
      const previous = tokens.at(-1)
      if (symbol === '!' && previous?.to === i && previous.text.length >= 3) {
        raise(COMMA)
        i++
      } else {
        const to = i + (symbol?.length ?? otherLength(text, i))
        push(i, to)
        i = to
      }
    }
  }
  return tokens
}

function pushWord(
  text: string,
  from: number,
  push: (from: number, to: number, word: string) => void,
  splitWord: (word: string) => number,
): number {
  let to = from + 1
  while (to < text.length) {
    const c = text.charCodeAt(to)
    if (isLetter(c) || (isApostrophe(c) && to + 1 < text.length && isLetter(text.charCodeAt(to + 1)))) to++
    else break
  }
  const word = text.slice(from, to).toLowerCase().replace(/’/g, "'")
  const cut = word.length === to - from ? splitWord(word) : 0
  if (cut > 0) {
    push(from, from + cut, word.slice(0, cut))
    push(from + cut, to, word.slice(cut))
  } else push(from, to, word)
  return to
}

/** A hyphen glued between two words, each of two letters or more. */
function isGlue(text: string, at: number, previous: Token | undefined): boolean {
  if (previous?.to !== at || previous.to - previous.from < 2 || !isLetter(text.charCodeAt(at - 1))) return false
  return at + 2 < text.length && isLetter(text.charCodeAt(at + 1)) && isLetter(text.charCodeAt(at + 2))
}

/** Anything else: up to the next character that means something, so that noise is one unknown token and not thousands. */
function otherLength(text: string, from: number): number {
  let to = from + 1
  while (to < text.length && to - from < 40) {
    const c = text.charCodeAt(to)
    if (c <= 32 || isDigit(c) || isLetter(c) || c === 44 || c === 46 || SYMBOLS.includes(text[to]!)) break
    to++
  }
  return to - from
}
