import type { PlanDocument } from '../../server/api/wire.ts'

/** How far the voice is, before the first ride of these words. */
export function Preparing({ progress }: { progress: { done: number; total: number } | null }) {
  const share = progress ? progress.done / Math.max(1, progress.total) : 0
  return (
    <main className="stack" aria-busy="true">
      <h1>Preparing the ride</h1>
      <p role="status">
        {progress
          ? `The voice has read ${progress.done} of ${progress.total} calls.`
          : 'Building the road and the plan …'}
      </p>
      <div className="progress" aria-hidden="true">
        <span style={{ width: `${share * 100}%` }} />
      </div>
    </main>
  )
}

/** On solid ground under the road: being said, then, then. */
export function Captions({ plan, call }: { plan: PlanDocument; call: number }) {
  const now = plan.calls[call]
  const next = plan.calls[call + 1]
  const then = plan.calls[call + 2]
  return (
    <>
      <p className="now">{now ? <span>{now.say}</span> : ' '}</p>
      <p className="next">
        {next?.say ?? ' '}
        {then && (
          <>
            <em> then </em>
            {then.say}
          </>
        )}
      </p>
    </>
  )
}
