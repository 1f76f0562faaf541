import type { EditorView } from '@codemirror/view'
import { useCallback, useEffect, useMemo, useRef, useState } from 'react'
import type { PlacementView, PlanDocument, RoadTable, StageDetail } from '../../server/api/wire.ts'
import type { VocabularyEntry } from '../../server/api/wireNotes.ts'
import type { ParsedNotes } from '../../server/notes/notes.ts'
import { changePlan, parseNotes, Superseded } from '../connection/live.ts'
import { request, send } from '../connection/request.ts'
import { clockInWords } from '../look/words.ts'
import { Autosave, type SaveState } from './autosave.ts'
import { CaptionsButton } from './CaptionsButton.tsx'
import { Conflict } from './Conflict.tsx'
import { Doubts } from './Doubts.tsx'
import { readDraft } from './draftStore.ts'
import { HowRead } from './HowRead.tsx'
import { lineTimes, rangeOf } from './lineTimes.ts'
import { acceptAllCertain, renumberGrades, replaceAll, speakLine } from './notesActions.ts'
import { createEditor, light, selectKind, showParse, showTimes } from './notesEditor.ts'
import { Placed } from './Placed.tsx'
import { labelsOf, RoadSide } from './RoadSide.tsx'
import { Tools } from './Tools.tsx'
import { useRoad } from './useRoad.ts'
import { Versions } from './Versions.tsx'
import { Wordings } from './Wordings.tsx'
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
        <Problem text={problem} />
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
  const [settings, setSettings] = useState(stage.settings)
  /** The same for what was set up once, on opening. */
  const settingsNow = useRef(stage.settings)
  const reread = useRef<((text: string) => void) | null>(null)
  const readAsRef = useRef<(some: Partial<StageDetail['settings']>) => Promise<void>>(async () => {})
  const saver = useRef<Autosave | null>(null)
  /** Where the cursor was last put; null until then, so that nothing is lit on opening. */
  const cursor = useRef<number | null>(null)
  const latest = useRef<ParsedNotes | null>(null)
  const vocabulary = useRef<readonly VocabularyEntry[]>([])

  const refreshRoad = useCallback(() => {
    Promise.all([
      request<RoadTable>(`/stages/${stage.id}/road?step=4&most=5000`),
      request<PlacementView>(`/stages/${stage.id}/placement`),
      // A target that no car can reach leaves the road to be seen all the same.
      changePlan(stage.id, {}).catch((error: Error) => {
        if (error instanceof Superseded) throw error
        return error
      }),
    ]).then(
      ([table, placement, fresh]) => {
        setRoad(table)
        setPlaced(placement)
        setPlan(fresh instanceof Error ? null : fresh)
        setProblem(fresh instanceof Error ? fresh.message : null)
      },
      (error: Error) => !(error instanceof Superseded) && setProblem(error.message),
    )
  }, [stage.id])

  const files = useRoad(stage.id, refreshRoad)

  useEffect(() => {
    request<VocabularyEntry[]>(`/stages/${stage.id}/notes/vocabulary`).then(
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
      if (cursor.current !== null && view.current?.state.doc.toString() === fresh.notes.text) lightAt(cursor.current)
    }
    const lightAt = (offset: number) => {
      const call = latest.current?.notes.calls.find((one) => offset >= one.from && offset <= one.to)
      setLit(call?.index ?? null)
    }
    const read = (text: string) => {
      const quiet = (error: Error) => !(error instanceof Superseded) && setProblem(error.message)
      parseNotes(stage.id, text).then(take, quiet)
      clearTimeout(rest)
      rest = setTimeout(() => parseNotes(stage.id, text, true).then(take, quiet), REST_MS)
    }
    reread.current = read
    const autosave = new Autosave(stage.id, stage.revision, (state, sentence) => {
      setSaved({ state, sentence: sentence ?? '' })
      if (state === 'saved') refreshRoad()
    })
    saver.current = autosave
    const editor = createEditor(host.current!, start, {
      changed: (text) => {
        autosave.change(text)
        read(text)
      },
      cursor: (offset) => {
        cursor.current = offset
        lightAt(offset)
      },
      vocabulary: () => vocabulary.current,
      turned: (fastest) => {
        readAsRef
          .current({ gradeSystem: { ...settingsNow.current.gradeSystem, fastest } })
          .catch((error: Error) => setProblem(error.message))
      },
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

  const change = async (some: Partial<StageDetail['settings']>) => {
    const fresh = await request<StageDetail>(`/stages/${stage.id}`, send('PATCH', { settings: some }))
    settingsNow.current = fresh.settings
    setSettings(fresh.settings)
  }
  /** The notes are read again under what the crew says of them. */
  const readAs = async (some: Partial<StageDetail['settings']>) => {
    await change(some)
    if (view.current) reread.current?.(view.current.state.doc.toString())
    refreshRoad()
  }
  readAsRef.current = readAs
  const acceptAll = async () => {
    const editor = view.current
    if (!editor || !parsed) return
    // Whether it was dictated is decided once: the evidence is gone when the fixes are in.
    if (parsed.notes.dictated && (settings.dictated ?? null) === null) await change({ dictated: true })
    await acceptAllCertain(editor, stage.id)
  }
  const act = (action: (editor: EditorView, stageId: string) => Promise<void>) => {
    if (view.current) action(view.current, stage.id).catch(tell)
  }
  const tell = (error: unknown) => !(error instanceof Superseded) && setProblem((error as Error).message)
  const certain = useMemo(() => (parsed?.diagnostics ?? []).filter((one) => one.certain && one.fix), [parsed])
  const jumpTo = (call: number) => {
    setLit(call)
    const range = rangeOf(parsed, call)
    if (range && view.current) {
      view.current.dispatch({ selection: { anchor: range.from }, scrollIntoView: true })
    }
  }
  const anchor = async (call: number, station: number | null) => {
    const text = placed?.texts[call]
    if (text === undefined) return
    const current = (await request<StageDetail>(`/stages/${stage.id}`)).anchors.filter((one) => one.call !== call)
    request<PlacementView>(
      `/stages/${stage.id}/anchors`,
      send('PUT', station === null ? current : [...current, { call, text, station }]),
    ).then(
      (view) => {
        setPlaced(view)
        refreshRoad()
      },
      (error: Error) => setProblem(error.message),
    )
  }
  const labels = useMemo(() => labelsOf(placed), [placed])
  const spoken = lit === null ? undefined : parsed?.notes.calls[lit]?.timeHint
  return (
    <main className="wide write">
      <h1 className="hidden">Write: {stage.title}</h1>
      <section className="notes" aria-label="Notes">
        <div ref={host} className="editor" />
        <div className="under">
          <p className="small soft" role="status">
            {saved.state === 'saved' ? 'saved' : saved.state === 'saving' ? 'saving …' : saved.sentence}
            {parsed && ` · ${parsed.notes.calls.length} calls`}
            {spoken !== undefined && ` · this call was spoken at ${clockInWords(spoken)}`}
          </p>
          <div className="row">
            {certain.length > 0 && (
              <button type="button" onClick={() => void acceptAll().catch(tell)}>
                accept {certain.length} certain {certain.length === 1 ? 'fix' : 'fixes'}
              </button>
            )}
            <Versions
              stageId={stage.id}
              current={() => view.current?.state.doc.toString() ?? ''}
              restore={(text) => view.current && replaceAll(view.current, text)}
            />
          </div>
          <Tools
            find={(kind) => (view.current && parsed ? selectKind(view.current, parsed, kind) : 0)}
            renumber={() => act(renumberGrades)}
            speak={() => act(speakLine)}
            fastest={parsed?.notes.system.fastest ?? null}
          >
            <CaptionsButton stageId={stage.id} take={(text) => view.current && replaceAll(view.current, text)} />
            <a href={`/stages/${stage.id}/words`}>your own words</a>
          </Tools>
          <Wordings
            stageId={stage.id}
            text={() => view.current?.state.doc.toString() ?? ''}
            pins={settings.pins}
            pin={async (what, never) => {
              const { pins } = settings
              await change({ pins: never ? [...new Set([...pins, what])] : pins.filter((one) => one !== what) })
              refreshRoad()
            }}
          />
          {parsed && (
            <HowRead notes={parsed.notes} settings={settings} change={(some) => void readAs(some).catch(tell)} />
          )}
          {saved.state === 'conflict' && (
            <Conflict
              stageId={stage.id}
              own={() => view.current?.state.doc.toString() ?? ''}
              settle={({ keep, text, revision }) => {
                const editor = view.current
                if (keep === 'other' && editor) replaceAll(editor, text)
                saver.current?.settle(text, revision)
              }}
            />
          )}
          {parsed && (
            <Doubts
              diagnostics={parsed.diagnostics}
              text={parsed.notes.text}
              jump={(offset) => view.current?.dispatch({ selection: { anchor: offset }, scrollIntoView: true })}
            />
          )}
        </div>
      </section>
      <section className="map" aria-label="Road">
        {problem && <Problem text={problem} />}
        <RoadSide {...{ road, files, labels, lit, anchor }} choose={jumpTo} />
        {placed && road && (
          <Placed
            {...{ stageId: stage.id, placed, road, lit, anchor, jump: jumpTo, caution: settings.cautionShare }}
            take={(text) => view.current?.dispatch({ changes: { from: 0, insert: text } })}
            setCaution={(cautionShare) => change({ cautionShare }).then(refreshRoad)}
          />
        )}
      </section>
    </main>
  )
}

const Problem = ({ text }: { text: string }) => (
  <p className="problem" role="alert">
    {text}
  </p>
)
