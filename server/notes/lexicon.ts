import type { CrewWord } from './notes.ts'
import { numberPartOf } from './numberWords.ts'
import { tokenize } from './tokens.ts'
import type { VocabularyRow, WordKind } from './vocabulary/row.ts'
import { rowOf, VOCABULARY } from './vocabulary.ts'

/**
 * Every written form of every row, compiled to numbers so that reading needs no strings: words have ids, forms are a tree of nodes (0 is the root),
 * rows are places in `rows`.
 */
export interface Lexicon {
  /** Words that begin or continue some form. */
  readonly words: ReadonlySet<string>
  readonly shorthands: ReadonlySet<string>
  /** Noises of thinking that the crew did not give a meaning. */
  readonly hesitations: ReadonlySet<string>
  /** Word ids; number words are among them. */
  readonly ids: ReadonlyMap<string, number>
  readonly rows: readonly VocabularyRow[]
  /** Kind of each row, as a place in KINDS. */
  readonly kinds: Uint8Array
  /** Child of the root by word id, or 0. */
  readonly firsts: Int32Array
  /** Child of another node: key `node * ids.size + word`. */
  readonly children: ReadonlyMap<number, number>
  readonly hasChildren: Uint8Array
  /** Rows whose form ends at a node: [rowStart[node], rowStart[node + 1]) of rowList. */
  readonly rowStart: Int32Array
  readonly rowList: Int32Array
  /** What part of a number a word id can be (NUMBER_PART), and its value. */
  readonly numberPart: Uint8Array
  readonly numberValue: Int16Array
}

export const KINDS: readonly WordKind[] = [
  'grade',
  'sign',
  'direction',
  'degrees',
  'shape',
  'length',
  'change',
  'crest',
  'size',
  'relation',
  'keep',
  'position',
  'side',
  'cut',
  'line',
  'warning',
  'motion',
  'object',
  'landmark',
  'surface',
  'width',
  'link',
  'unit',
  'distance',
  'start/finish',
  'repeat',
  'filler',
]

/** Place of each kind in KINDS. */
export const KIND = Object.fromEntries(KINDS.map((kind, i) => [kind, i])) as Readonly<Record<WordKind, number>>

/** Grade numbers are read as numbers, so that "four" and "4" are one thing. */
const isGradeNumber = (row: VocabularyRow) =>
  row.kind === 'grade' && /^(one|two|three|four|five|six|seven|eight|nine)$/.test(row.word)

interface Draft {
  readonly rows: VocabularyRow[]
  readonly ids: Map<string, number>
  readonly children: Map<string, number>
  readonly ends: number[][]
}

const NUMBER_WORDS =
  'zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred thousand and'

/** The built-in lexicon with the crew's own words: a form they define hides every built-in row that has it. */
export function buildLexicon(crewWords: readonly CrewWord[] = []): Lexicon {
  const draft: Draft = { rows: [], ids: new Map(), children: new Map(), ends: [[]] }
  const words = new Set<string>()
  const shorthands = new Set<string>()
  for (const word of NUMBER_WORDS.split(' ')) idOf(draft, word)
  const crewForms = crewWords.flatMap((word) => word.forms)
  const own = new Set(crewForms.map(formKey))
  const hidden = new Set([...own, ...crewForms.map((form) => formKey(unapostrophed(form)))])
  for (const row of VOCABULARY) {
    if (isGradeNumber(row)) continue
    for (const form of row.forms.flatMap(spellingsOf)) if (!hidden.has(formKey(form))) addForm(draft, words, form, row)
    for (const form of row.shorthand ?? []) {
      if (hidden.has(formKey(form))) continue
      addForm(draft, words, form, row)
      if (/^[a-z]{1,4}$/.test(form)) shorthands.add(form)
    }
  }
  for (const word of crewWords) {
    const row = crewRow(word)
    if (!row) continue
    for (const form of word.forms) {
      addForm(draft, words, form, row)
      const bare = unapostrophed(form)
      if (!own.has(formKey(bare))) addForm(draft, words, bare, row)
    }
  }
  const noises = VOCABULARY.filter((row) => row.hesitation).flatMap((row) => row.forms)
  return { words, shorthands, hesitations: new Set(noises.filter((form) => !own.has(form))), ...compile(draft) }
}

function idOf(draft: Draft, word: string): number {
  let id = draft.ids.get(word)
  if (id === undefined) draft.ids.set(word, (id = draft.ids.size))
  return id
}

const unapostrophed = (form: string) => form.replace(/n['’]t\b/gi, 'nt')

/** A form, and the same with its apostrophe left out: recognisers and hurried hands write "dont". */
export const spellingsOf = (form: string): string[] => [...new Set([form, unapostrophed(form)])]

function addForm(draft: Draft, words: Set<string>, form: string, row: VocabularyRow): void {
  const tokens = tokenize(form)
  if (tokens.length === 0) return
  let place = draft.rows.indexOf(row)
  if (place < 0) place = draft.rows.push(row) - 1
  let node = 0
  for (const { text } of tokens) {
    words.add(text)
    const key = `${node} ${idOf(draft, text)}`
    let next = draft.children.get(key)
    if (next === undefined) draft.children.set(key, (next = draft.ends.push([]) - 1))
    node = next
  }
  if (!draft.ends[node]!.includes(place)) draft.ends[node]!.push(place)
}

function compile(draft: Draft): Omit<Lexicon, 'words' | 'shorthands' | 'hesitations'> {
  const { rows, ids, ends } = draft
  const firsts = new Int32Array(ids.size)
  const children = new Map<number, number>()
  const hasChildren = new Uint8Array(ends.length)
  for (const [key, child] of draft.children) {
    const [node, word] = key.split(' ').map(Number) as [number, number]
    if (node === 0) firsts[word] = child
    else {
      children.set(node * ids.size + word, child)
      hasChildren[node] = 1
    }
  }
  const rowStart = new Int32Array(ends.length + 1)
  ends.forEach((list, node) => {
    rowStart[node + 1] = rowStart[node]! + list.length
  })
  const numberPart = new Uint8Array(ids.size)
  const numberValue = new Int16Array(ids.size)
  for (const [word, id] of ids) {
    const part = numberPartOf(word)
    numberPart[id] = part.part
    numberValue[id] = part.value
  }
  return {
    ids,
    rows,
    kinds: Uint8Array.from(rows, (row) => KINDS.indexOf(row.kind)),
    firsts,
    children,
    hasChildren,
    rowStart,
    rowList: Int32Array.from(ends.flat()),
    numberPart,
    numberValue,
  }
}

/** Two written forms are one where their words are: "Don’t  cut" and "don't cut". */
export const formKey = (form: string): string =>
  tokenize(form)
    .map((token) => token.text)
    .join(' ')

function crewRow(word: CrewWord): VocabularyRow | null {
  const built = word.means === null ? undefined : rowOf(word.means)
  if (built) return word.spoken === undefined ? built : { ...built, spoken: word.spoken }
  const first = word.forms[0]
  if (first === undefined) return null
  return {
    word: first.toLowerCase(),
    kind: 'line',
    forms: word.forms,
    ...(word.spoken === undefined ? {} : { spoken: word.spoken }),
    geometry: { effect: 'none' },
    timing: 'turn-in',
    drop: 1,
    attach: 'prev',
    rarity: 2,
  }
}

/** Where an unknown word of 2–6 letters is exactly two shorthands ("HpR"), or 0. */
export function shorthandSplit(lexicon: Lexicon, word: string): number {
  if (word.length < 2 || word.length > 6 || lexicon.words.has(word)) return 0
  for (let cut = word.length - 1; cut >= 1; cut--) {
    if (lexicon.shorthands.has(word.slice(0, cut)) && lexicon.shorthands.has(word.slice(cut))) return cut
  }
  return 0
}
