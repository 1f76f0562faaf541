import type { EditorView } from '@codemirror/view'
import { useCallback, useEffect, useMemo, useRef, useState } from 'react'
import type { PlacementView, PlanDocument, RoadTable, StageDetail, VocabularyEntry } from '../../server/api/wire.ts'
import type { Diagnostic, ParsedNotes } from '../../server/notes/notes.ts'
import { changePlan, parseNotes, Superseded } from '../connection/live.ts'
import { request, send } from '../connection/request.ts'
import { clockInWords } from '../look/words.ts'
import { HeightProfile } from '../routes/HeightProfile.tsx'
import { PlanView } from '../routes/PlanView.tsx'
import { Autosave, type SaveState } from './autosave.ts'
import { readDraft } from './draftStore.ts'
import { applyAll, createEditor, type LineTimes, light, showParse, showTimes } from './notesEditor.ts'
import { Versions } from './Versions.tsx'
import './write.css'

/** Doubts that need more than a keystroke's time are looked for when typing rests. */
const REST_MS = 700

/** Write: notes on the left, the road on the right, what is placed lit both ways. */
export default function WritePage({ stageId }: { stageId: string; query: URLSearchParams }) {
  const [stage, setStage] = useState<StageDetail | null>(null)
  const [start, setStart] = useState<string | null>(null)
  const [problem, setProblem] = useState<string | null>(null)

  useEffect(() => {
    let alive = true
    Promise.all([request<StageDetail>(`/stages/${stageId}`), readDraft(stageId).catch(() => undefined)]).then(
      ([detail, draft]) => {
        if (!alive) return
        setStage(detail)
        setStart(draft && draft.text !== detail.notes ? draft.text : detail.notes)
      },
      (error: Error) => alive && setProblem(error.message),
    )
    return () => {
      alive = false
    }
  }, [stageId])

  if (problem) {
    return (
      <main>
        <p className="problem" role="alert">
          {problem}
        </p>
      </main>
    )
  }
  if (!stage || start === null) return <main aria-busy="true">Opening the notes …</main>
  return <Desk stage={stage} start={start} />
}

function Desk({ stage, start }: { stage: StageDetail; start: string }) {
  const host = useRef<HTMLDivElement>(null)
  const view = useRef<EditorView | null>(null)
  const [parsed, setParsed] = useState<ParsedNotes | null>(null)
  const [saved, setSaved] = useState<{ state: SaveState; sentence: string }>({ state: 'saved', sentence: '' })
  const [road, setRoad] = useState<RoadTable | null>(null)
  const [placed, setPlaced] = useState<PlacementView | null>(null)
  const [plan, setPlan] = useState<PlanDocument | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [lit, setLit] = useState<number | null>(null)
  const latest = useRef<ParsedNotes | null>(null)
  const vocabulary = useRef<readonly VocabularyEntry[]>([])

  const refreshRoad = useCallback(() => {
    Promise.all([
      request<RoadTable>(`/stages/${stage.id}/road?step=4`),
      request<PlacementView>(`/stages/${stage.id}/placement`),
      changePlan(stage.id, {}),
    ]).then(
      ([table, placement, fresh]) => {
        setRoad(table)
        setPlaced(placement)
        setPlan(fresh)
        setProblem(null)
      },
      (error: Error) => !(error instanceof Superseded) && setProblem(error.message),
    )
  }, [stage.id])

  useEffect(() => {
    request<VocabularyEntry[]>('/vocabulary').then(
      (rows) => {
        vocabulary.current = rows
      },
      () => {},
    )
    let rest: ReturnType<typeof setTimeout> | undefined
    const take = (fresh: ParsedNotes) => {
      latest.current = fresh
      setParsed(fresh)
      if (view.current) showParse(view.current, fresh)
    }
    const read = (text: string) => {
      const quiet = (error: Error) => !(error instanceof Superseded) && setProblem(error.message)
      parseNotes(stage.id, text).then(take, quiet)
      clearTimeout(rest)
      rest = setTimeout(() => parseNotes(stage.id, text, true).then(take, quiet), REST_MS)
    }
    const autosave = new Autosave(stage.id, stage.revision, (state, sentence) => {
      setSaved({ state, sentence: sentence ?? '' })
      if (state === 'saved') refreshRoad()
    })
    const editor = createEditor(host.current!, start, {
      changed: (text) => {
        autosave.change(text)
        read(text)
      },
      cursor: (offset) => {
        const call = latest.current?.notes.calls.find((one) => offset >= one.from && offset <= one.to)
        setLit(call?.index ?? null)
      },
      vocabulary: () => vocabulary.current,
    })
    view.current = editor
    read(start)
    if (start !== stage.notes) autosave.change(start)
    refreshRoad()
    return () => {
      clearTimeout(rest)
      void autosave.save()
      editor.destroy()
      view.current = null
    }
  }, [stage, start, refreshRoad])

  useEffect(() => {
    if (view.current) light(view.current, rangeOf(parsed, lit))
  }, [lit, parsed])
  useEffect(() => {
    if (view.current && plan) showTimes(view.current, lineTimes(plan))
  }, [plan])

  const certain = useMemo(() => (parsed?.diagnostics ?? []).filter((one) => one.certain && one.fix), [parsed])
  const jumpTo = (call: number) => {
    setLit(call)
    const range = rangeOf(parsed, call)
    if (range && view.current) {
      view.current.dispatch({ selection: { anchor: range.from }, scrollIntoView: true })
    }
  }
  const anchor = async (call: number, station: number) => {
    const text = placed?.texts[call]
    if (text === undefined) return
    const current = (await request<StageDetail>(`/stages/${stage.id}`)).anchors.filter((one) => one.call !== call)
    request<PlacementView>(`/stages/${stage.id}/anchors`, send('PUT', [...current, { call, text, station }])).then(
      (view) => {
        setPlaced(view)
        refreshRoad()
      },
      (error: Error) => setProblem(error.message),
    )
  }
  const labels = useMemo(
    () =>
      (placed?.placement.calls ?? []).map((one) => ({
        call: one.index,
        text: shortText(placed!.texts[one.index]!),
        from: one.from,
        to: one.to,
        sure: one.confidence >= 0.9,
      })),
    [placed],
  )
  const chosen = placed?.placement.calls.find((one) => one.index === lit) ?? null
  return (
    <main className="wide write">
      <h1 className="hidden">Write: {stage.title}</h1>
      <section className="notes" aria-label="Notes">
        <div ref={host} className="editor" />
        <div className="under">
          <p className="small soft" role="status">
            {saved.state === 'saved' ? 'saved' : saved.state === 'saving' ? 'saving …' : saved.sentence}
            {parsed && ` · ${parsed.notes.calls.length} calls`}
          </p>
          <div className="row">
            {certain.length > 0 && (
              <button type="button" onClick={() => view.current && applyAll(view.current, certain)}>
                accept {certain.length} certain {certain.length === 1 ? 'fix' : 'fixes'}
              </button>
            )}
            <Versions
              stageId={stage.id}
              restore={(text) =>
                view.current?.dispatch({ changes: { from: 0, to: view.current.state.doc.length, insert: text } })
              }
            />
          </div>
          {parsed && (
            <Doubts
              diagnostics={parsed.diagnostics}
              text={parsed.notes.text}
              reasons={parsed.notes.reasons}
              jump={(offset) => view.current?.dispatch({ selection: { anchor: offset }, scrollIntoView: true })}
            />
          )}
        </div>
      </section>
      <section className="map" aria-label="Road">
        {problem && (
          <p className="problem" role="status">
            {problem}
          </p>
        )}
        {road && (
          <>
            <p className="small soft about">
              {road.source === 'notes' ? 'drawn from the notes, not measured' : 'plan, north up'} ·{' '}
              {(road.length / 1000).toFixed(2)} km
              {Object.entries(road.losses).map(([reason, count]) => ` · ${reason}: ${count}`)}
            </p>
            <PlanView road={road} labels={labels} lit={lit} choose={jumpTo} anchor={anchor} />
            <HeightProfile road={road} lit={chosen} />
          </>
        )}
        {placed && <Findings placed={placed} jump={jumpTo} />}
      </section>
    </main>
  )
}

function rangeOf(parsed: ParsedNotes | null, call: number | null): { from: number; to: number } | null {
  const found = call === null ? undefined : parsed?.notes.calls[call]
  return found ? { from: found.from, to: found.to } : null
}

/** Words of a call on a map: without the distance that ends it. */
const shortText = (text: string): string => text.replace(/\s+/g, ' ').replace(/[,\s]*(\d+|->|→|into|and|&|-)\s*$/i, '')

function lineTimes(plan: PlanDocument): Map<number, LineTimes> {
  const by = new Map<number, LineTimes>()
  for (const call of plan.calls) {
    const known = by.get(call.line)
    const over = call.late > 0.2 ? `${call.late.toFixed(1)} s over` : ''
    by.set(call.line, { said: known?.said ?? clockInWords(call.start), over: over || (known?.over ?? '') })
  }
  return by
}

function Doubts({
  diagnostics,
  text,
  reasons,
  jump,
}: {
  diagnostics: readonly Diagnostic[]
  text: string
  reasons: ParsedNotes['notes']['reasons']
  jump: (offset: number) => void
}) {
  const line = (offset: number) => text.slice(0, offset).split('\n').length
  return (
    <details open={diagnostics.length > 0 && diagnostics.length < 6}>
      <summary>
        {diagnostics.length === 0
          ? 'Nothing doubtful; how it was read'
          : `${diagnostics.length} doubtful ${diagnostics.length === 1 ? 'place' : 'places'}`}
      </summary>
      <ul className="small">
        {diagnostics.slice(0, 200).map((one) => (
          <li key={`${one.from}-${one.code}`}>
            <button type="button" className="quiet" onClick={() => jump(one.from)}>
              line {line(one.from)}
            </button>{' '}
            {one.message}
          </li>
        ))}
        {reasons.map((reason) => (
          <li key={reason.says} className="soft">
            {reason.says}
          </li>
        ))}
      </ul>
    </details>
  )
}

function Findings({ placed, jump }: { placed: PlacementView; jump: (call: number) => void }) {
  const { findings } = placed
  return (
    <div className="findings">
      <h2>
        {findings.length === 0
          ? 'Notes and road agree'
          : `Notes against road: ${findings.length} ${findings.length === 1 ? 'finding' : 'findings'}`}
      </h2>
      <ul>
        {findings.map((finding) => (
          <li key={`${finding.station}-${finding.code}`}>
            {finding.call === null ? (
              finding.message
            ) : (
              <button type="button" className="quiet" onClick={() => jump(finding.call!)}>
                {finding.message}
              </button>
            )}
          </li>
        ))}
      </ul>
    </div>
  )
}
