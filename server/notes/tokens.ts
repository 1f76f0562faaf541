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
export function tokenize(text: string, splitWord: ((word: string) => number) | null = null): Token[] {
  const scan = new Scan(text, splitWord)
  scan.run()
  return scan.tokens
}

class Scan {
  readonly tokens: Token[] = []
  private before: Separation = COMMENT
  private line = 1
  private lineStart = true
  /** Where the last token ended. */
  private end = -1
  private readonly text: string
  private readonly splitWord: ((word: string) => number) | null

  constructor(text: string, splitWord: ((word: string) => number) | null) {
    this.text = text
    this.splitWord = splitWord
  }

  private raise(to: Separation): void {
    if (to > this.before) this.before = to
  }

  private push(from: number, to: number, word: string): void {
    this.tokens.push({ text: word, from, to, before: this.before, glued: this.end === from, line: this.line })
    this.end = to
    this.before = 0
    this.lineStart = false
  }

  run(): void {
    const { text } = this
    let i = 0
    while (i < text.length) {
      const c = text.charCodeAt(i)
      if (c === 32 || c === 9 || c === 13 || c === 0xa0 || c === 0xfeff) i++
      else if (isLetter(c)) i = this.word(i)
      else if (isDigit(c)) {
        let to = i + 1
        while (to < text.length && isDigit(text.charCodeAt(to))) to++
        this.push(i, to, text.slice(i, to))
        i = to
      } else if (c === 10) {
        this.raise(LINE_END)
        this.line++
        this.lineStart = true
        i++
      } else if (c === 35 && this.lineStart) {
        const lineEnd = text.indexOf('\n', i)
        i = lineEnd < 0 ? text.length : lineEnd
        this.raise(COMMENT)
      } else if (isSeparator(c)) {
        this.raise(COMMA)
        this.lineStart = false
        i++
      } else if (c === 46) {
        this.raise(1.5)
        i++
      } else if (c === 45 && isGlue(text, i, this.tokens.at(-1))) i++
      else i = this.symbol(i)
    }
  }

  private symbol(i: number): number {
    const { text } = this
    const symbol = symbolAt(text, i)
    const previous = this.tokens.at(-1)
    if (symbol === '!' && previous?.to === i && previous.text.length >= 3) {
      this.raise(COMMA)
      return i + 1
    }
    const to = i + (symbol?.length ?? otherLength(text, i))
    this.push(i, to, text.slice(i, to))
    return to
  }

  private word(from: number): number {
    const { text, splitWord } = this
    let to = from + 1
    let curly = false
    while (to < text.length) {
      const c = text.charCodeAt(to)
      if (isLetter(c)) to++
      else if (isApostrophe(c) && to + 1 < text.length && isLetter(text.charCodeAt(to + 1))) {
        curly ||= c !== 39
        to++
      } else break
    }
    const lower = text.slice(from, to).toLowerCase()
    const word = curly ? lower.replace(/’/g, "'") : lower
    const cut = splitWord !== null && to - from <= 6 && word.length === to - from ? splitWord(word) : 0
    if (cut > 0) {
      this.push(from, from + cut, word.slice(0, cut))
      this.push(from + cut, to, word.slice(cut))
    } else this.push(from, to, word)
    return to
  }
}

const isSeparator = (c: number) =>
  c === 44 || // ,
  c === 59 || // ;
  c === 58 || // :
  c === 40 ||
  c === 41 ||
  c === 0x2013 ||
  c === 0x2014 ||
  c === 34 ||
  c === 0x201c ||
  c === 0x201d

function symbolAt(text: string, i: number): string | undefined {
  for (let k = 0; k < SYMBOLS.length; k++) if (text.startsWith(SYMBOLS[k]!, i)) return SYMBOLS[k]
  return undefined
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
