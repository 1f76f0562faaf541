import { useEffect, useRef, useState } from 'react'
import type { StageDetail, StageSummary } from '../../server/api/wire.ts'
import type { CrewTableView, VocabularyEntry } from '../../server/api/wireNotes.ts'
import { request, send } from '../connection/request.ts'
import { type CrewRow, crewWordsOf, dropRows, EMPTY, isEmpty, keepRows, keptRows, rowsOf } from './crewRows.ts'
import { WordRow } from './WordRow.tsx'
import './words.css'

/** Rows are sent when typing rests. */
const REST_MS = 600

/** Your own words: the crew's table, which adds words to the built-in one or takes the place of them. Kept with the stage as it is typed. */
export default function WordsPage({ stageId }: { stageId: string; query: URLSearchParams }) {
  const [rows, setRows] = useState<readonly CrewRow[] | null>(null)
  const [builtIn, setBuiltIn] = useState<readonly VocabularyEntry[]>([])
  const [view, setView] = useState<CrewTableView | null>(null)
  const [state, setState] = useState('')
  const [problem, setProblem] = useState<string | null>(null)
  const rest = useRef<ReturnType<typeof setTimeout>>(undefined)
  /** Typed and not sent yet. */
  const waiting = useRef<readonly CrewRow[] | null>(null)
  const sending = useRef<Promise<void>>(Promise.resolve())

  // biome-ignore lint/correctness/useExhaustiveDependencies: save reads nothing that changes but the stage
  useEffect(() => {
    Promise.all([request<StageDetail>(`/stages/${stageId}`), request<VocabularyEntry[]>('/vocabulary')]).then(
      ([stage, vocabulary]) => {
        const kept = keptRows(stageId)
        setRows([...(kept ?? rowsOf(stage.settings.crewWords ?? [])), EMPTY])
        setBuiltIn(vocabulary)
        if (kept) save(kept)
      },
      (error: Error) => setProblem(error.message),
    )
    // Whoever leaves while typing has not come to rest takes the rows along all the same.
    return () => {
      clearTimeout(rest.current)
      if (waiting.current !== null) save(waiting.current)
    }
  }, [stageId])

  const change = (next: readonly CrewRow[]) => {
    setRows(next.length === 0 || !isEmpty(next.at(-1)!) ? [...next, EMPTY] : next)
    keepRows(stageId, next)
    setState('saving …')
    clearTimeout(rest.current)
    waiting.current = next
    rest.current = setTimeout(() => save(next), REST_MS)
  }
  /** One table after another, so that an older one never takes the place of a newer. */
  const save = (next: readonly CrewRow[]) => {
    waiting.current = null
    sending.current = sending.current.then(() => put(next))
  }
  const put = async (next: readonly CrewRow[]) => {
    try {
      const answer = await request<CrewTableView>(`/stages/${stageId}/notes/words`, send('PUT', crewWordsOf(next)))
      setProblem(null)
      setView(answer)
      if (answer.kept && waiting.current === null) dropRows(stageId)
      setState(answer.kept ? 'saved' : 'not saved yet: mend the marked rows; what you typed is kept in this browser')
    } catch (error) {
      setState('kept in this browser')
      setProblem((error as Error).message)
    }
  }
  const filled = (rows ?? []).flatMap((row, at) => (isEmpty(row) ? [] : [at]))
  const remark = (list: CrewTableView['problems'] | undefined, at: number) =>
    list?.find((one) => filled[one.row] === at)?.says ?? null

  return (
    <main className="stack">
      <h1>Your own words</h1>
      <p>
        A word you write as you like, and the built-in word it stands for. It is read so in this stage’s notes, and
        offered while you type. A word that is built in already then means what your row says. Without a meaning it is
        only said.
      </p>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      {rows === null ? (
        problem === null && <p aria-busy="true">Opening the table …</p>
      ) : (
        <div className="words-table">
          <div className="words-head small soft" aria-hidden="true">
            <span>you write</span>
            <span>stands for</span>
            <span>said as</span>
          </div>
          {rows.map((row, at) => (
            <WordRow
              // biome-ignore lint/suspicious/noArrayIndexKey: rows have no name but their place
              key={at}
              number={at + 1}
              row={row}
              problem={remark(view?.problems, at)}
              notice={remark(view?.notices, at)}
              change={(next) => change(rows.map((one, i) => (i === at ? next : one)))}
              remove={isEmpty(row) ? null : () => change(rows.filter((_, i) => i !== at))}
            />
          ))}
        </div>
      )}
      <datalist id="built-in-words">
        {builtIn.map((entry) => (
          <option key={entry.row} value={entry.row}>
            {entry.kind}: {[...entry.forms, ...entry.shorthand].slice(0, 4).join(', ')}
          </option>
        ))}
      </datalist>
      <p className="small soft" role="status">
        {state || ' '}
      </p>
      {rows && <FromStage stageId={stageId} rows={rows} take={change} />}
      <p>
        <a href={`/stages/${stageId}/write`}>back to the notes</a>
      </p>
    </main>
  )
}

/** The table of another of the crew's stages, added to this one; words that are here already stay as they are. */
function FromStage({
  stageId,
  rows,
  take,
}: {
  stageId: string
  rows: readonly CrewRow[]
  take: (rows: readonly CrewRow[]) => void
}) {
  const [stages, setStages] = useState<readonly StageSummary[]>([])
  const [says, setSays] = useState('')
  useEffect(() => {
    request<StageSummary[]>('/stages').then(setStages, () => {})
  }, [])
  const others = stages.filter((one) => one.id !== stageId)
  if (others.length === 0) return null
  const add = async (id: string) => {
    const { title, settings } = await request<StageDetail>(`/stages/${id}`)
    const here = new Set(rows.flatMap((row) => row.forms.toLowerCase().split(/\s*,\s*/)))
    const fresh = rowsOf(settings.crewWords ?? []).filter(
      (row) =>
        !row.forms
          .toLowerCase()
          .split(/\s*,\s*/)
          .some((form) => here.has(form)),
    )
    setSays(
      fresh.length === 0
        ? `“${title}” has no words that are not here.`
        : `${fresh.length} ${fresh.length === 1 ? 'word' : 'words'} taken from “${title}”.`,
    )
    if (fresh.length > 0) take([...rows.filter((row) => !isEmpty(row)), ...fresh])
  }
  return (
    <p className="row">
      <label>
        take the words of{' '}
        <select
          value=""
          onChange={(event) => void add(event.target.value).catch((error: Error) => setSays(error.message))}
        >
          <option value="">another stage …</option>
          {others.map((one) => (
            <option key={one.id} value={one.id}>
              {one.title}
            </option>
          ))}
        </select>
      </label>
      <span className="small soft" role="status">
        {says}
      </span>
    </p>
  )
}
