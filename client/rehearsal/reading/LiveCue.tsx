import type { LiveVerdict } from './session.ts'

const PLACE = { early: 'left', 'in window': 'middle', late: 'right', 'not heard': 'none' } as const

/**
 * Early, in window or late, to be seen from the corner of an eye: by place (left, middle, right) and shape (a hollow square, a full bar, a hatched block), never by
 * colour alone. What cannot be told shows three dots.
 */
export function LiveCue({ last }: { last: LiveVerdict | null }) {
  return (
    <div className="cue" data-verdict={last?.verdict ?? 'none'} data-call={last?.index ?? ''}>
      <span className="track" aria-hidden="true">
        {last && last.verdict !== 'not heard' && <i key={last.index} className={PLACE[last.verdict]} />}
      </span>
      <span className="word">{last ? (last.verdict === 'not heard' ? '…' : last.verdict) : ' '}</span>
    </div>
  )
}
