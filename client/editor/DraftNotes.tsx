import { useState } from 'react'
import type { DraftView } from '../../server/api/wire.ts'
import { request } from '../connection/request.ts'

/** A road without notes: a draft to take along on recce. It says what it is in its first line. */
export function DraftNotes({ stageId, take }: { stageId: string; take: (text: string) => void }) {
  const [said, setSaid] = useState('')
  const draw = () =>
    request<DraftView>(`/stages/${stageId}/draft`).then(
      (draft) => {
        take(draft.text)
        setSaid(`${draft.corners} corners drafted, ${draft.left} gentle bends left out.`)
      },
      (error: Error) => setSaid(error.message),
    )
  return (
    <div className="draft">
      <p>
        There are no notes for this road yet. A draft can be drawn up from its corners; it is no set of pace notes, and
        only recce can make it one.
      </p>
      <button type="button" onClick={() => void draw()}>
        draft notes from the road
      </button>
      <p role="status" className="small soft">
        {said}
      </p>
    </div>
  )
}
