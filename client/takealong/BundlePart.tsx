import { useRef, useState } from 'react'
import { request } from '../connection/request.ts'

/** The stage as one file, and a file opened as a stage beside the others. */
export function BundlePart({ stageId }: { stageId: string }) {
  const [takes, setTakes] = useState(false)
  const [opened, setOpened] = useState<{ id: string; leftOut: string[] } | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const input = useRef<HTMLInputElement>(null)
  const open = (file: File | undefined) => {
    if (!file) return
    setProblem(null)
    request<{ id: string; leftOut: string[] }>('/bundles', {
      method: 'POST',
      body: file,
      headers: { 'content-type': 'application/zip' },
    }).then(setOpened, (error: Error) => setProblem(error.message))
  }
  return (
    <section className="stack rule" aria-labelledby="bundle">
      <h2 id="bundle">The stage as one file</h2>
      <p className="soft">Notes, road, calls put by hand and settings as a zip, for another machine or to keep safe.</p>
      <div className="row">
        <label>
          <input type="checkbox" checked={takes} onChange={(event) => setTakes(event.target.checked)} /> with recorded
          takes
        </label>
        <a className="button" href={`/api/stages/${stageId}/bundle${takes ? '?takes=1' : ''}`} download>
          Download the bundle
        </a>
        <button type="button" onClick={() => input.current?.click()}>
          Open a bundle
        </button>
        <input
          ref={input}
          type="file"
          hidden
          aria-label="Bundle"
          accept=".zip"
          onChange={(event) => open(event.target.files?.[0])}
        />
      </div>
      {opened && (
        <p role="status">
          Opened as a new stage; nothing here was overwritten. <a href={`/stages/${opened.id}/write`}>Go to it</a>
          {opened.leftOut.length > 0 ? ` Left out, because no stage holds them: ${opened.leftOut.join(', ')}.` : ''}
        </p>
      )}
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
    </section>
  )
}
