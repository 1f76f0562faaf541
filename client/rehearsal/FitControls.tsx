import type { PlanDocument, PlanRequest } from '../../server/api/wire.ts'
import type { Car, Surface } from '../../server/speed/speed.ts'
import { Figure } from './Figure.tsx'

const WORDINGS = ['verbose', 'standard', 'terse', 'automatic'] as const
/** What a reader begins from before they have measured themselves: the middle of ordinary speech (from memory). */
const USUAL_PACE = { syllablesPerSecond: 5, pause: 0.15 }

/** Everything a run is planned on besides its speed. Each change plans again at once. */
export function FitControls({
  plan,
  tables,
  ask,
}: {
  plan: PlanDocument
  tables: { cars: readonly Car[]; surfaces: readonly Surface[] }
  ask: (change: PlanRequest) => void
}) {
  const { run } = plan
  return (
    <div className="row">
      <fieldset className="choice">
        <legend className="hidden">Wording</legend>
        {WORDINGS.map((wording) => (
          <button key={wording} type="button" aria-pressed={run.wording === wording} onClick={() => ask({ wording })}>
            {wording}
          </button>
        ))}
      </fieldset>
      <label>
        surface{' '}
        <select value={run.surface} onChange={(event) => ask({ surface: event.target.value })}>
          {tables.surfaces.map((one) => (
            <option key={one.id} value={one.id}>
              {one.name}
            </option>
          ))}
        </select>
      </label>
      <label>
        car{' '}
        <select value={run.car} onChange={(event) => ask({ car: event.target.value })}>
          {tables.cars.map((one) => (
            <option key={one.id} value={one.id}>
              {one.name}
            </option>
          ))}
        </select>
      </label>
      <Figure name="lead" value={run.lead} step={0.5} most={8} unit="s" set={(lead) => ask({ lead })} />
      <Figure
        name="reaction"
        value={run.reactionTime}
        step={0.05}
        most={3}
        unit="s"
        set={(reaction) => ask({ reaction })}
      />
      <Figure
        name="calls held"
        value={run.waiting}
        step={1}
        most={8}
        unit={run.waiting === 1 ? 'call' : 'calls'}
        set={(waiting) => ask({ waiting })}
      />
      <label>
        read by{' '}
        <select
          value={run.pace ? 'me' : 'voice'}
          onChange={(event) => ask({ pace: event.target.value === 'me' ? USUAL_PACE : null })}
        >
          <option value="voice">the voice</option>
          <option value="me">me</option>
        </select>
      </label>
      {run.pace ? (
        <>
          <Figure
            name="my pace"
            value={run.pace.syllablesPerSecond}
            step={0.1}
            least={2}
            most={10}
            unit="syllables/s"
            set={(syllablesPerSecond) => ask({ pace: { ...run.pace!, syllablesPerSecond } })}
          />
          <Figure
            name="breath"
            value={run.pace.pause}
            step={0.05}
            most={1}
            unit="s"
            set={(pause) => ask({ pace: { ...run.pace!, pause } })}
          />
        </>
      ) : (
        <Figure
          name="voice"
          value={run.rate}
          step={10}
          least={120}
          most={320}
          unit="words/min"
          set={(rate) => ask({ rate })}
        />
      )}
    </div>
  )
}
