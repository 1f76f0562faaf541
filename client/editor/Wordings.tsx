import { useState } from 'react'
import type { WordingPreview } from '../../server/rehearsal/wordingPreview.ts'
import { request, send } from '../connection/request.ts'

/** What each wording drops and saves; anything can be pinned so that it is never dropped. */
export function Wordings({
  stageId,
  text,
  pins,
  pin,
}: {
  stageId: string
  text: () => string
  pins: readonly string[]
  pin: (text: string, never: boolean) => Promise<void>
}) {
  const [previews, setPreviews] = useState<readonly WordingPreview[] | null>(null)
  const [problem, setProblem] = useState('')
  const look = () =>
    request<WordingPreview[]>(`/stages/${stageId}/notes/wordings`, send('POST', { text: text() })).then(
      setPreviews,
      (error: Error) => setProblem(error.message),
    )
  const setPin = (what: string, never: boolean) => void pin(what, never).then(look)
  return (
    <details onToggle={(event) => event.currentTarget.open && void look()}>
      <summary>Wordings: what each leaves out</summary>
      {problem && <p className="problem small">{problem}</p>}
      {previews?.map((one) => (
        <section key={one.wording} aria-label={one.wording}>
          <p className="small">
            <b>{one.wording}</b>: {one.words} words, {one.seconds.toFixed(1)} s
            {one.saved > 0.05 && `, ${one.saved.toFixed(1)} s less than verbose`}
            {' · '}
            <button type="button" className="quiet" onClick={() => saveText(`notes ${one.wording}.txt`, one.text)}>
              save as a new text
            </button>
          </p>
          {one.dropped.length > 0 && (
            <ul className="small">
              {one.dropped.slice(0, 30).map((dropped) => (
                <li key={dropped.text}>
                  <button type="button" className="quiet" onClick={() => setPin(dropped.text, true)}>
                    never drop “{dropped.text}”
                  </button>{' '}
                  left out {dropped.times === 1 ? 'once' : `${dropped.times} times`}, {dropped.seconds.toFixed(1)} s
                </li>
              ))}
            </ul>
          )}
        </section>
      ))}
      {pins.length > 0 && (
        <p className="small">
          Never dropped:{' '}
          {pins.map((one) => (
            <button key={one} type="button" className="quiet" onClick={() => setPin(one, false)}>
              {one} ×
            </button>
          ))}
        </p>
      )}
    </details>
  )
}

/** Hands a text over as a file; the notes themselves stay as they are. */
function saveText(name: string, text: string): void {
  const address = URL.createObjectURL(new Blob([text], { type: 'text/plain' }))
  const link = document.createElement('a')
  link.href = address
  link.download = name
  link.click()
  URL.revokeObjectURL(address)
}
