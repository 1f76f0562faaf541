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
              {plan.ways === undefined && <span className="soft">working out ways out of it …</span>}
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

/** A way out as a button: it changes the run or what is said of it, and can be undone. */
function Way({ way, plan, apply }: { way: WayOutView; plan: PlanDocument; apply: Props['apply'] }) {
  const left = way.left > 0.2 ? ` (leaves ${way.left.toFixed(1)} s)` : ''
  const change = changeOf(way, plan)
  const sentence = `${way.sentence}${left}`
  return change === null ? (
    <span className="way">{sentence}</span>
  ) : (
    <button type="button" className="way" onClick={() => apply(change, `Done: ${way.sentence}`)}>
      {sentence}
    </button>
  )
}

/** Fastest the embedded voice speaks, words a minute. */
const QUICKEST = 450

function changeOf(way: WayOutView, plan: PlanDocument): PlanRequest | null {
  const { run } = plan
  switch (way.kind) {
    case 'faster': {
      const times = way.rate ?? 1
      if (run.pace)
        return { pace: { ...run.pace, syllablesPerSecond: Math.ceil(run.pace.syllablesPerSecond * times * 10) / 10 } }
      return { rate: Math.min(QUICKEST, Math.ceil(run.rate * times)) }
    }
    case 'shorten': {
      const text = (index: number) => plan.calls.find((call) => call.index === index)?.text ?? ''
      const drops = (way.drops ?? []).map(({ call, element }) => ({ call, text: text(call), element }))
      return { leftOut: [...run.leftOut, ...drops] }
    }
    case 'sooner':
      return way.settings ?? null
    case 'slower': {
      const { from, to, speed } = way
      if (from === undefined || to === undefined || speed === undefined) return null
      // Elsewhere the car is driven as it is now; the average comes down by what the limit costs.
      return {
        limits: [...run.limits, { from, to, speed }],
        target: { kind: 'commitment', commitment: run.commitment },
      }
    }
    default:
      return way.kind satisfies never
  }
}
