import { useState } from 'react'
import type { StageDetail } from '../../../server/api/wire.ts'
import type { TakesView } from '../../../server/api/wireTakes.ts'
import { request, send } from '../../connection/request.ts'

const percent = (share: number) => `${Math.round(share * 100)} %`

/** The crew's own measured pace with its spread, offered to Fit. */
export function UsePace({
  stage,
  view,
  changed,
}: {
  stage: StageDetail
  view: TakesView
  changed: (stage: StageDetail) => void
}) {
  const [problem, setProblem] = useState<string | null>(null)
  const { pace } = view
  const used = stage.settings.pace ?? null
  const set = (value: { syllablesPerSecond: number; pause: number } | null) =>
    request<StageDetail>(`/stages/${stage.id}`, send('PATCH', { settings: { pace: value } })).then(
      changed,
      (error: Error) => setProblem(error.message),
    )
  return (
    <section>
      <h2>Your reading pace</h2>
      {pace === null ? (
        <p>Ten calls heard surely are enough to measure your pace; read a take or two.</p>
      ) : (
        <p>
          You read {pace.syllablesPerSecond.toFixed(2)} syllables a second with {pace.pause.toFixed(2)} s between calls
          that follow each other, over {pace.calls} calls of {pace.takes === 1 ? 'one take' : `${pace.takes} takes`}.
          Half of your calls are within {percent(pace.spread.half)} of that, nearly all within{' '}
          {percent(pace.spread.most)}
          {pace.takeSpread === null
            ? '; more takes will show how it changes'
            : `; whole takes differ by up to ${percent(pace.takeSpread)}`}
          .
        </p>
      )}
      <div className="row">
        {pace && (
          <button
            type="button"
            onClick={() => void set({ syllablesPerSecond: pace.syllablesPerSecond, pause: pace.pause })}
          >
            use my pace
          </button>
        )}
        {used && (
          <>
            <span role="status">
              Fit plans on {used.syllablesPerSecond.toFixed(2)} syllables a second.{' '}
              <a href={`/stages/${stage.id}/fit`}>See Fit</a>
            </span>
            <button type="button" onClick={() => void set(null)}>
              back to the voice's pace
            </button>
          </>
        )}
      </div>
      {problem && <p className="problem">{problem}</p>}
    </section>
  )
}
