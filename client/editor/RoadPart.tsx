import { type FormEvent, useState } from 'react'
import type { RoadChange, RoadChoice, RoadFileUse } from '../../server/api/wireRoad.ts'
import type { End } from '../routes/StretchView.tsx'
import { RoadFiles } from './RoadFiles.tsx'

interface Props {
  readonly road: RoadChoice | null
  /** What is being done or has just been told; problems too. */
  readonly said: string
  readonly busy: boolean
  /** Share of a file's work that is done; null while no file is coming in. */
  readonly done: number | null
  /** Start and finish while they are being chosen; null otherwise. */
  readonly ends: Readonly<Record<End, number>> | null
  readonly choose: (ends: Readonly<Record<End, number>> | null) => void
  readonly change: (change: RoadChange) => void
  readonly undo: () => void
  readonly addFile: (file: File, use: RoadFileUse) => void
}

/** Where the road comes from and which part of it, driven which way, is the stage. */
export function RoadPart(q: Props) {
  const { road } = q
  return (
    <section className="road-part" aria-label="Road file">
      {road && q.ends && <Stretch {...q} road={road} ends={q.ends} />}
      {road && !q.ends && (
        <div className="row">
          <button type="button" disabled={q.busy} onClick={() => q.choose(endsOf(road))}>
            choose start and finish
          </button>
          <button type="button" disabled={q.busy} onClick={() => q.change({ reversed: !road.reversed })}>
            drive it the other way
          </button>
          {road.undo !== null && (
            <button type="button" disabled={q.busy} onClick={q.undo}>
              undo: {road.undo}
            </button>
          )}
        </div>
      )}
      <p className="small soft" role="status">
        {q.said || (road ? about(road) : 'No road file yet: this road is drawn from the notes.')}
      </p>
      {q.done !== null && (
        <div
          className="progress"
          role="progressbar"
          aria-label="road file"
          aria-valuemin={0}
          aria-valuemax={100}
          aria-valuenow={Math.round(100 * q.done)}
        >
          <span style={{ width: `${100 * q.done}%` }} />
        </div>
      )}
      <RoadFiles road={road} busy={q.busy} change={q.change} addFile={q.addFile} />
    </section>
  )
}

/** Start and finish as they are driven. */
export const endsOf = ({ from, to, reversed }: RoadChoice): Record<End, number> =>
  reversed ? { start: to, finish: from } : { start: from, finish: to }

function about(road: RoadChoice): string {
  const whole = `${(road.length / 1000).toFixed(2)} km in all`
  const part = road.chosen
    ? `the stage is ${(road.from / 1000).toFixed(2)} to ${(road.to / 1000).toFixed(2)} km of it`
    : 'the whole of it is the stage'
  const how = road.source === 'measured' ? 'measured from a log' : 'from a drawn or designed line'
  return `${whole}, ${how}; ${part}${road.reversed ? ', driven the other way' : ''}.`
}

function Stretch({
  road,
  ends,
  choose,
  change,
  busy,
}: Props & { road: RoadChoice; ends: Readonly<Record<End, number>> }) {
  const [from, to] = [Math.min(ends.start, ends.finish), Math.max(ends.start, ends.finish)]
  const fine = from >= 0 && to <= road.length + 1 && to - from > 10
  const [typed, setTyped] = useState<Partial<Record<End, string>>>({})
  const field = (end: End) => (
    <label>
      {end} at{' '}
      <input
        type="number"
        min={0}
        max={Math.ceil(road.length)}
        step="any"
        value={typed[end] ?? Math.round(ends[end])}
        onChange={(event) => {
          setTyped({ ...typed, [end]: event.target.value })
          const station = Number(event.target.value)
          if (event.target.value !== '' && Number.isFinite(station)) choose({ ...ends, [end]: station })
        }}
        onBlur={() => setTyped({})}
      />{' '}
      m
    </label>
  )
  const keep = (event: FormEvent) => {
    event.preventDefault()
    if (fine)
      change({ stretch: from <= 0 && to >= road.length ? null : { from, to }, reversed: ends.start > ends.finish })
  }
  return (
    <form className="small" onSubmit={keep} onKeyDown={(event) => event.key === 'Escape' && choose(null)}>
      <div className="row">
        {field('start')}
        {field('finish')}
        <span>{fine ? `${((to - from) / 1000).toFixed(2)} km` : 'start and finish are too near, or off the road'}</span>
      </div>
      <div className="row">
        <button type="submit" disabled={!fine || busy}>
          use this stretch
        </button>
        <button type="button" onClick={() => choose({ start: 0, finish: road.length })}>
          all of it
        </button>
        <button type="button" onClick={() => choose(null)}>
          leave it as it was
        </button>
      </div>
      <p className="soft">
        Drag the lines marked start and finish along the road, or type where they are on it. A start beyond the finish
        drives the road the other way.
      </p>
    </form>
  )
}
