import { type FormEvent, useCallback, useEffect, useState } from 'react'
import type { StageDetail, StageSummary } from '../../server/api/wire.ts'
import { request, send } from '../connection/request.ts'
import { sendRoadFile } from '../connection/roadFiles.ts'
import { takeCaptions } from '../connection/takeCaptions.ts'
import { DropFile } from '../look/DropFile.tsx'
import { SortHead, useSorting } from '../look/sorting.tsx'
import { lengthInWords, speedInWords } from '../look/words.ts'

/** Stages: the library, a way in by file or paste, and the cautions that stand on the first screen. */
export function StagesPage({ open }: { open: (id: string, page: string) => void }) {
  const [stages, setStages] = useState<readonly StageSummary[] | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [busy, setBusy] = useState<string | null>(null)

  const load = useCallback(() => {
    request<StageSummary[]>('/stages').then(setStages, (error: Error) => setProblem(error.message))
  }, [])
  useEffect(load, [load])

  async function work<T>(what: string, task: (say: (doing: string) => void) => Promise<T>): Promise<T | undefined> {
    setBusy(what)
    setProblem(null)
    try {
      return await task(setBusy)
    } catch (error) {
      setProblem((error as Error).message)
      return undefined
    } finally {
      setBusy(null)
    }
  }

  const openDemo = async (which: string, page: string) => {
    const stage = await work('Opening the demo', () => request<StageDetail>('/demo', send('POST', { which })))
    if (stage) open(stage.id, page)
  }
  const rename = async (stage: StageSummary, title: string) => {
    await work('Renaming', () => request(`/stages/${stage.id}`, send('PATCH', { title })))
    load()
  }
  const remove = async (stage: StageSummary) => {
    if (!confirm(`Move "${stage.title}" to the library's trash folder?`)) return
    await work('Moving to the trash', () => request(`/stages/${stage.id}`, { method: 'DELETE' }))
    load()
  }

  return (
    <main className="stack">
      <h1>Rehearse a stage’s pace notes, at stage speed, at your desk</h1>
      <p className="caution">
        A rehearsal on private premises only; never while driving on a road open to others. Speeds are targets for
        practice, not advice: event regulations, marshals, local law and licensed coaching come first. Braking and
        reaction values are typical, from named sources, and can be wrong for your crew, car and surface. A road drawn
        from notes or from a noisy log is marked so.
      </p>
      <div className="row">
        <button type="button" onClick={() => openDemo('tarn-hollow', 'drive')}>
          Ride the demo stage
        </button>
        <button type="button" onClick={() => openDemo('skerry-road', 'drive')}>
          Demo: coast road
        </button>
        <button type="button" onClick={() => openDemo('quarry-steps', 'drive')}>
          Demo: notes only
        </button>
      </div>
      <p role="status">{busy ? `${busy} …` : ' '}</p>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      {stages !== null && stages.length > 0 && (
        <>
          <h2>Your stages</h2>
          <StageTable stages={stages} remove={remove} rename={rename} />
        </>
      )}
      <NewStage work={work} done={(id) => open(id, 'write')} />
    </main>
  )
}

const STAGES_BY = {
  stage: (stage: StageSummary) => stage.title,
  length: (stage: StageSummary) => stage.length ?? 0,
  calls: (stage: StageSummary) => stage.calls,
  target: (stage: StageSummary) => (stage.target.kind === 'average' ? stage.target.speed : 0),
}

function StageTable({
  stages,
  remove,
  rename,
}: {
  stages: readonly StageSummary[]
  remove: (stage: StageSummary) => void
  rename: (stage: StageSummary, title: string) => void
}) {
  const [naming, setNaming] = useState<string | null>(null)
  const sorting = useSorting(stages, STAGES_BY)
  return (
    <div style={{ overflowX: 'auto' }}>
      <table>
        <thead>
          <tr>
            <SortHead sorting={sorting} column="stage">
              stage
            </SortHead>
            <SortHead sorting={sorting} column="length" number>
              length
            </SortHead>
            <SortHead sorting={sorting} column="calls" number>
              calls
            </SortHead>
            <SortHead sorting={sorting} column="target">
              target
            </SortHead>
            <th scope="col">open</th>
          </tr>
        </thead>
        <tbody>
          {sorting.rows.map((stage) => (
            <tr key={stage.id}>
              <th scope="row">
                {naming === stage.id ? (
                  <form
                    className="row"
                    onSubmit={(event) => {
                      event.preventDefault()
                      const title = String(new FormData(event.currentTarget).get('title')).trim()
                      setNaming(null)
                      if (title !== '' && title !== stage.title) rename(stage, title)
                    }}
                    onKeyDown={(event) => event.key === 'Escape' && setNaming(null)}
                  >
                    <input
                      name="title"
                      defaultValue={stage.title}
                      maxLength={120}
                      aria-label={`name of ${stage.title}`}
                      ref={(field) => field?.select()}
                    />
                    <button type="submit" className="small">
                      keep
                    </button>
                  </form>
                ) : (
                  stage.title
                )}
                {stage.problem && <div className="small over">{stage.problem}</div>}
              </th>
              <td className="number">{stage.length === null ? '–' : lengthInWords(stage.length, stage.units)}</td>
              <td className="number">{stage.calls}</td>
              <td>
                {stage.target.kind === 'average' ? speedInWords(stage.target.speed, stage.units) : 'a stage time'},{' '}
                {stage.surface}
                {stage.hasRoute ? '' : ', road drawn from notes'}
              </td>
              <td>
                <span className="row">
                  <a href={`/stages/${stage.id}/write`} aria-label={`write ${stage.title}`}>
                    write
                  </a>
                  <a href={`/stages/${stage.id}/fit`} aria-label={`fit ${stage.title}`}>
                    fit
                  </a>
                  <a href={`/stages/${stage.id}/drive`} aria-label={`drive ${stage.title}`}>
                    drive
                  </a>
                  <button
                    type="button"
                    className="quiet small"
                    aria-label={`rename ${stage.title}`}
                    onClick={() => setNaming(stage.id)}
                  >
                    rename
                  </button>
                  <button
                    type="button"
                    className="quiet small"
                    aria-label={`delete ${stage.title}`}
                    onClick={() => remove(stage)}
                  >
                    delete
                  </button>
                </span>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  )
}

const isCaptions = (file: File) => /\.(vtt|srt)$/i.test(file.name)

/** Captions as the notes of a new stage, behind what was typed. */
async function notesFromCaptions(made: StageDetail, file: File, typed: string): Promise<void> {
  try {
    const { text } = await takeCaptions(made.id, file)
    const whole = typed.trim() === '' ? text : `${typed}\n${text}`
    await request(`/stages/${made.id}/notes`, send('PUT', { text: whole, base: made.revision }))
  } catch (error) {
    if (typed.trim() === '') await request(`/stages/${made.id}`, { method: 'DELETE' })
    throw error
  }
}

/** `say` tells what is being done as it goes on. */
type Work = <T>(what: string, task: (say: (doing: string) => void) => Promise<T>) => Promise<T | undefined>

function NewStage({ work, done }: { work: Work; done: (id: string) => void }) {
  const [title, setTitle] = useState('')
  const [notes, setNotes] = useState('')
  const [file, setFile] = useState<File | null>(null)

  async function begin(event: FormEvent): Promise<void> {
    event.preventDefault()
    const name = title.trim() || file?.name.replace(/\.[^.]+$/, '') || 'New stage'
    const stage = await work('Beginning the stage', async (say) => {
      const made = await request<StageDetail>('/stages', send('POST', { title: name, notes }))
      if (file && isCaptions(file)) await notesFromCaptions(made, file, notes)
      else if (file) {
        try {
          await sendRoadFile(made.id, file, 'instead', say)
        } catch (error) {
          // Without notes an unreadable file leaves nothing worth a stage; with notes the stage stays.
          if (notes.trim() === '') await request(`/stages/${made.id}`, { method: 'DELETE' })
          throw error
        }
      }
      return made
    })
    if (stage) done(stage.id)
  }

  return (
    <form className="stack rule" style={{ paddingTop: '1rem' }} onSubmit={begin}>
      <h2>Begin a stage</h2>
      <label>
        Name{' '}
        <input
          type="text"
          value={title}
          maxLength={120}
          onChange={(event) => setTitle(event.target.value)}
          placeholder="as you call it"
        />
      </label>
      <DropFile button="Choose a route file" label="Route file" take={setFile}>
        <span className="soft">
          {file
            ? file.name
            : 'or drop it here: GPX, KML, KMZ, TCX, GeoJSON, OpenDRIVE or CSV. Without one the road is drawn from the notes. Captions of a spoken stage (WebVTT, SubRip) become its notes.'}
        </span>
      </DropFile>
      <label style={{ display: 'block' }}>
        Notes, as you write them
        <textarea
          rows={5}
          value={notes}
          onChange={(event) => setNotes(event.target.value)}
          placeholder={'start 80, 5 right over crest into 4 left long, 60\ncaution 3 right tightens 2, don’t cut'}
        />
      </label>
      <button type="submit" disabled={notes.trim() === '' && file === null}>
        Begin
      </button>
    </form>
  )
}
