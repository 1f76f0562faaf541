import { useEffect, useMemo, useState } from 'react'
import type { PlanDocument } from '../../../server/api/wire.ts'

const LINES = 8

/** The crew's notes as they laid them out, a page at a time, in large type; it turns by itself or by hand. */
export function NotesSheet({ notes, plan, position }: { notes: string; plan: PlanDocument; position: number }) {
  const lines = useMemo(() => notes.split('\n'), [notes])
  const pages = Math.max(1, Math.ceil(lines.length / LINES))
  const line = (plan.calls[Math.max(0, position)]?.line ?? 1) - 1
  const due = Math.floor(line / LINES)
  const [page, setPage] = useState(due)
  const [byHand, setByHand] = useState(false)
  useEffect(() => {
    if (!byHand) setPage(due)
  }, [due, byHand])
  const turn = (by: number) => {
    setByHand(true)
    setPage((one) => Math.max(0, Math.min(pages - 1, one + by)))
  }
  return (
    <section className="sheet" aria-label={`Notes, page ${page + 1} of ${pages}`}>
      <ol>
        {lines.slice(page * LINES, (page + 1) * LINES).map((text, i) => {
          const at = page * LINES + i
          return (
            // biome-ignore lint/suspicious/noArrayIndexKey: a line is its place
            <li key={at} aria-current={at === line && position >= 0 ? 'true' : undefined}>
              {text || ' '}
            </li>
          )
        })}
      </ol>
      <div className="row small">
        <button type="button" onClick={() => turn(-1)} disabled={page === 0}>
          page back
        </button>
        <span className="soft">
          page {page + 1} of {pages}
        </span>
        <button type="button" onClick={() => turn(1)} disabled={page === pages - 1}>
          next page
        </button>
        <label>
          <input type="checkbox" checked={!byHand} onChange={(event) => setByHand(!event.target.checked)} /> turns by
          itself
        </label>
      </div>
    </section>
  )
}
