import { useState } from 'react'
import { request, send } from '../connection/request.ts'

/** What was learnt, as a file from one device to another; brought in twice it counts once, and nothing that is here is lost. */
export function OtherDevice({ stageId, changed }: { stageId: string; changed: () => void }) {
  const [said, setSaid] = useState<string | null>(null)
  async function bringIn(file: File): Promise<void> {
    let learnt: unknown
    try {
      learnt = JSON.parse(await file.text())
      if (!Array.isArray((learnt as { lines?: unknown }).lines)) throw new Error('no lines')
    } catch {
      setSaid(
        `“${file.name}” is no file of what was learnt: on the other device open this stage under Learn and save it there.`,
      )
      return
    }
    try {
      const { added } = await request<{ added: number }>(`/stages/${stageId}/learn/log`, send('POST', learnt))
      setSaid(
        added === 0 ? 'All of it was here already.' : `${added} ${added === 1 ? 'answer' : 'answers'} brought in.`,
      )
      changed()
    } catch (error) {
      setSaid((error as Error).message)
    }
  }
  return (
    <details>
      <summary>On another device</summary>
      <div className="stack">
        <p className="small">
          <a href={`/api/stages/${stageId}/learn/log`} download>
            Save what was learnt
          </a>{' '}
          here, bring it in there, and the other way round.
        </p>
        <label>
          Bring in a file{' '}
          <input
            type="file"
            accept=".json,application/json"
            onChange={(event) => {
              const file = event.target.files?.[0]
              if (file) void bringIn(file)
              event.target.value = ''
            }}
          />
        </label>
        <p className="small soft" role="status">
          {said ?? ' '}
        </p>
      </div>
    </details>
  )
}
