import { useEffect, useState } from 'react'
import { type Kept, keepOffline, keptStage, whyNotOffline } from './offline.ts'

/** The stage kept in this browser, so that it rides with the server stopped. */
export function OfflinePart({ stageId }: { stageId: string }) {
  const [kept, setKept] = useState<Kept | null>(null)
  const [share, setShare] = useState<number | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const not = whyNotOffline()
  useEffect(() => {
    if (not === null) keptStage(stageId).then(setKept, () => {})
  }, [stageId, not])
  const keep = async () => {
    setProblem(null)
    setShare(0)
    try {
      setKept(await keepOffline(stageId, setShare))
    } catch (error) {
      setProblem((error as Error).message)
    } finally {
      setShare(null)
    }
  }
  return (
    <section className="stack rule" aria-labelledby="offline">
      <h2 id="offline">In this browser</h2>
      {not === null ? (
        <p className="soft">
          Kept here, the stage rides with Say When stopped and without a network. Most browsers offer to install this
          page as an app, too.
        </p>
      ) : (
        <p>{not} Take the sound file, the notebook or the bundle instead.</p>
      )}
      <div className="row">
        {not === null && (
          <button type="button" disabled={share !== null} onClick={keep}>
            {kept ? 'Keep it here anew' : 'Keep it here'}
          </button>
        )}
        <span role="status">
          {share !== null
            ? `keeping ${Math.round(share * 100)} %`
            : kept
              ? `Kept: ${kept.calls} calls. Drive rides it offline.`
              : ''}
        </span>
      </div>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
    </section>
  )
}
