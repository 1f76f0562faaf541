import type { StageDetail } from '../../server/api/wire.ts'
import { useLoaded } from '../connection/useLoaded.ts'
import { Difference } from './Difference.tsx'

/** Notes that were changed elsewhere meanwhile: both texts side by side, and a choice. Neither is lost, both are among the versions. */
export function Conflict({
  stageId,
  own,
  settle,
}: {
  stageId: string
  own: () => string
  settle: (choice: { keep: 'own' | 'other'; text: string; revision: number }) => void
}) {
  const { loaded: other, problem } = useLoaded<StageDetail>(`/stages/${stageId}`)
  if (problem) return <p className="problem">{problem}</p>
  if (!other) return null
  const choose = (keep: 'own' | 'other') =>
    settle({ keep, text: keep === 'own' ? own() : other.notes, revision: other.revision })
  return (
    <section className="stack" aria-label="Two texts of these notes">
      <p>These notes were changed elsewhere in the meantime. The other text is on the left, yours on the right.</p>
      <Difference before={other.notes} after={own()} label="The other text and yours" />
      <div className="row">
        <button type="button" onClick={() => choose('own')}>
          keep mine
        </button>
        <button type="button" onClick={() => choose('other')}>
          take the other
        </button>
      </div>
    </section>
  )
}
