import { autocompletion, type CompletionContext } from '@codemirror/autocomplete'
import { defaultKeymap, history, historyKeymap, invertedEffects, isolateHistory } from '@codemirror/commands'
import { forceLinting, linter, lintKeymap, type Diagnostic as Mark, setDiagnostics } from '@codemirror/lint'
import { ChangeSet, EditorSelection, EditorState, RangeSetBuilder, StateEffect, StateField } from '@codemirror/state'
import {
  Decoration,
  type DecorationSet,
  drawSelection,
  EditorView,
  GutterMarker,
  gutter,
  keymap,
} from '@codemirror/view'
import type { VocabularyEntry } from '../../server/api/wireNotes.ts'
import type { Diagnostic, Fix, ParsedNotes } from '../../server/notes/notes.ts'

/** What stands beside a line: when its first call is said, and what is over. */
export interface LineTimes {
  readonly said: string
  readonly over: string
  /** Every call of the line with its second and its lateness. */
  readonly all: string
}

const setMarks = StateEffect.define<DecorationSet>()
const setTimes = StateEffect.define<ReadonlyMap<number, LineTimes>>()
const setLit = StateEffect.define<{ from: number; to: number } | null>()

const marks = StateField.define<DecorationSet>({
  create: () => Decoration.none,
  update: (value, transaction) => {
    let next = value.map(transaction.changes)
    for (const effect of transaction.effects) if (effect.is(setMarks)) next = effect.value
    return next
  },
  provide: (field) => EditorView.decorations.from(field),
})

const lit = StateField.define<DecorationSet>({
  create: () => Decoration.none,
  update: (value, transaction) => {
    let next = value.map(transaction.changes)
    for (const effect of transaction.effects) {
      if (effect.is(setLit))
        next =
          effect.value === null || effect.value.to > transaction.state.doc.length
            ? Decoration.none
            : Decoration.set([litMark.range(effect.value.from, effect.value.to)])
    }
    return next
  },
  provide: (field) => EditorView.decorations.from(field),
})
const litMark = Decoration.mark({ class: 'note-lit' })

const times = StateField.define<ReadonlyMap<number, LineTimes>>({
  create: () => new Map(),
  update: (value, transaction) => {
    for (const effect of transaction.effects) if (effect.is(setTimes)) return effect.value
    return value
  },
})

class TimeMarker extends GutterMarker {
  private readonly text: string
  private readonly className: string
  private readonly title: string
  constructor(text: string, className: string, title = '') {
    super()
    this.text = text
    this.className = className
    this.title = title
  }
  override eq(other: TimeMarker): boolean {
    return other.text === this.text && other.className === this.className && other.title === this.title
  }
  override toDOM(): Node {
    const span = document.createElement('span')
    span.textContent = this.text
    span.className = this.className
    span.title = this.title
    return span
  }
}

const timeGutter = gutter({
  class: 'note-times',
  lineMarker: (view, line) => {
    const found = view.state.field(times).get(view.state.doc.lineAt(line.from).number)
    if (!found) return null
    return new TimeMarker(found.over || found.said, found.over ? 'over' : 'said', found.all)
  },
  lineMarkerChange: (update) =>
    update.transactions.some((transaction) => transaction.effects.some((effect) => effect.is(setTimes))),
  initialSpacer: () => new TimeMarker('0:00.0', 'said'),
})

const KIND_CLASSES: Readonly<Record<string, string>> = {
  corner: 'note-corner',
  change: 'note-change',
  length: 'note-change',
  crest: 'note-thing',
  landmark: 'note-thing',
  object: 'note-thing',
  surface: 'note-thing',
  width: 'note-thing',
  warning: 'note-warning',
  distance: 'note-distance',
  link: 'note-link',
  unknown: 'note-unknown',
}

export interface EditorHooks {
  readonly changed: (text: string) => void
  readonly cursor: (offset: number) => void
  readonly vocabulary: () => readonly VocabularyEntry[]
  /** The number scale was turned round, or back by undo: which end is fast now. */
  readonly turned: (fastest: 'high' | 'low') => void
}

/** The scale's fast end changes with the text that was renumbered, and goes back when that is undone. */
const gradesTurned = StateEffect.define<'high' | 'low'>()
const turnedBack = invertedEffects.of((transaction) =>
  transaction.effects.flatMap((effect) =>
    effect.is(gradesTurned) ? [gradesTurned.of(effect.value === 'high' ? 'low' : 'high')] : [],
  ),
)

/** The notes editor: plain text with what was understood laid over it. */
export function createEditor(parent: HTMLElement, text: string, hooks: EditorHooks): EditorView {
  return new EditorView({
    parent,
    state: EditorState.create({
      doc: text,
      extensions: [
        history(),
        // Carriage returns stay characters of the text, so that what is saved is byte for byte what was opened, and ranges agree with the server's.
        EditorState.lineSeparator.of('\n'),
        EditorState.allowMultipleSelections.of(true),
        drawSelection(),
        turnedBack,
        keymap.of([...defaultKeymap, ...historyKeymap, ...lintKeymap]),
        EditorView.lineWrapping,
        EditorView.contentAttributes.of({ 'aria-label': 'Pace notes', spellcheck: 'false', autocapitalize: 'off' }),
        timeGutter,
        times,
        marks,
        lit,
        linter(null),
        autocompletion({ override: [(context) => complete(context, hooks.vocabulary())], activateOnTyping: true }),
        EditorView.updateListener.of((update) => {
          for (const effect of update.transactions.flatMap((one) => one.effects))
            if (effect.is(gradesTurned)) hooks.turned(effect.value)
          if (update.docChanged) hooks.changed(update.state.doc.toString())
          if (update.selectionSet || update.docChanged) hooks.cursor(update.state.selection.main.head)
        }),
      ],
    }),
  })
}

function complete(context: CompletionContext, vocabulary: readonly VocabularyEntry[]) {
  const word = context.matchBefore(/[\p{L}']+/u)
  if (!word || word.to - word.from < 2) return null
  return {
    from: word.from,
    options: vocabulary.flatMap((row) =>
      row.forms
        .filter((form) => row.own || form.length > 2)
        .map((form) => ({ label: form, detail: row.own ? 'yours' : row.kind, info: row.help, boost: row.own ? 1 : 0 })),
    ),
    validFor: /^[\p{L}' ]*$/u,
  }
}

/** Lays a parse over the text it was made of; a parse of an older text is left. */
export function showParse(view: EditorView, parsed: ParsedNotes): void {
  if (view.state.doc.toString() !== parsed.notes.text) return
  const builder = new RangeSetBuilder<Decoration>()
  for (const element of parsed.notes.calls.flatMap((call) => call.elements)) {
    const name = KIND_CLASSES[element.kind]
    if (name && element.to > element.from) builder.add(element.from, element.to, Decoration.mark({ class: name }))
  }
  view.dispatch({ effects: setMarks.of(builder.finish()) })
  view.dispatch(setDiagnostics(view.state, parsed.diagnostics.map(toMark)))
  forceLinting(view)
}

function toMark(diagnostic: Diagnostic): Mark {
  const fixes = [diagnostic.fix, ...(diagnostic.others ?? [])].filter((fix) => fix !== undefined)
  return {
    from: diagnostic.from,
    to: Math.max(diagnostic.to, diagnostic.from + 1),
    severity: diagnostic.severity === 'hint' ? 'hint' : diagnostic.severity,
    message: diagnostic.message,
    actions: fixes.map((fix) => ({
      name: fix.label,
      // Applied where the doubt stands now, after whatever was typed since.
      apply: (view, from, to) =>
        view.dispatch({
          changes: { from: from + (fix.from - diagnostic.from), to: to + (fix.to - diagnostic.to), insert: fix.insert },
        }),
    })),
  }
}

export const showTimes = (view: EditorView, by: ReadonlyMap<number, LineTimes>): void =>
  view.dispatch({ effects: setTimes.of(by) })
export const light = (view: EditorView, range: { from: number; to: number } | null): void =>
  view.dispatch({ effects: setLit.of(range) })

/** Edits that do not overlap, in order of the text. */
export function changesOf(edits: readonly Fix[], length: number): ChangeSet {
  const sorted = [...edits].sort((a, b) => a.from - b.from || a.to - b.to)
  let at = 0
  const apart = sorted.filter((edit) => {
    if (edit.from < at) return false
    at = edit.to
    return true
  })
  return ChangeSet.of(
    apart.map(({ from, to, insert }) => ({ from, to, insert })),
    length,
    '\n',
  )
}

/** Edits as one step of the history: one undo takes them all back, and nothing typed before or after with them. */
export function applyAsOne(view: EditorView, changes: ChangeSet, fastest?: 'high' | 'low'): void {
  view.dispatch({
    changes,
    userEvent: 'input.fixes',
    annotations: isolateHistory.of('full'),
    ...(fastest === undefined ? {} : { effects: gradesTurned.of(fastest) }),
  })
}

/** Selects every element of a kind, so that the next one is a key away and all can be changed at once. */
export function selectKind(view: EditorView, parsed: ParsedNotes, kind: string): number {
  const ranges = parsed.notes.calls
    .flatMap((call) => call.elements)
    .filter((element) => element.kind === kind && element.to <= view.state.doc.length)
    .map((element) => EditorSelection.range(element.from, element.to))
  if (ranges.length === 0) return 0
  view.dispatch({ selection: EditorSelection.create(ranges, 0), scrollIntoView: true })
  view.focus()
  return ranges.length
}
