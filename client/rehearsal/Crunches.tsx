import type { PlanDocument, PlanRequest, WayOutView } from '../../server/api/wire.ts'
import { lengthInWords, type Units } from '../look/words.ts'

interface Props {
  readonly plan: PlanDocument
  readonly worst: readonly { readonly crunch: PlanDocument['crunches'][number]; readonly i: number }[]
  readonly units: Units
  readonly jump: (time: number, i: number) => void
  readonly apply: (change: PlanRequest, words: string) => void
}

/** Places that do not fit, worst first, each with computed ways out. */
export function Crunches({ plan, worst, units, jump, apply }: Props) {
  if (worst.length === 0) return <p className="soft">Nothing: every call can be said in time.</p>
  return (
    <ol className="crunches">
      {worst.map(({ crunch, i }) => {
        const first = plan.calls.findIndex((call) => call.index === crunch.first)
        const last = plan.calls.find((call) => call.index === crunch.last)
        const call = plan.calls[first]!
        return (
          <li key={crunch.first}>
            <p>
              <span className="over">{crunch.over.toFixed(1)} s over</span> at {lengthInWords(call.station, units)},
              from “{call.say}”{last && last !== call ? ` to “${last.say}”` : ''}
            </p>
            <div className="row small">
              <button type="button" onClick={() => jump(call.start, first)}>
                show
              </button>
              {(plan.ways?.[i] ?? []).map((way) => (
                <Way key={way.sentence} way={way} plan={plan} apply={apply} />
              ))}
            </div>
          </li>
        )
      })}
    </ol>
  )
}

/** A way out that a setting of the run can carry is a button; one that needs the notes changed says what to change. */
function Way({ way, plan, apply }: { way: WayOutView; plan: PlanDocument; apply: Props['apply'] }) {
  const left = way.left > 0.2 ? ` (leaves ${way.left.toFixed(1)} s)` : ''
  if (way.kind === 'faster' && way.rate !== undefined) {
    const rate = Math.min(450, Math.ceil(plan.run.rate * way.rate))
    return (
      <button type="button" onClick={() => apply({ rate }, way.sentence)}>
        {way.sentence}
        {left}
      </button>
    )
  }
  if (way.kind === 'shorten') {
    return (
      <button
        type="button"
        onClick={() =>
          apply({ wording: 'automatic' }, 'Wording is now chosen call by call, so that fewest words are lost.')
        }
      >
        {way.sentence}
        {left}
      </button>
    )
  }
  return (
    <span className="way">
      {way.sentence}
      {left}
    </span>
  )
}
