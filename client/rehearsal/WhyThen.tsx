import type { PlanDocument } from '../../server/api/wire.ts'
import { clockInWords, lengthInWords, type Units } from '../look/words.ts'

/** One call explained: why it must start by then, and why not sooner. */
export function WhyThen({ plan, chosen, units }: { plan: PlanDocument; chosen: number | null; units: Units }) {
  const call = chosen === null ? null : plan.calls[chosen]
  if (!call) {
    return (
      <>
        <h2>Why then?</h2>
        <p className="soft">
          Choose a call on the strip, by click or arrow keys, to see why it must start when it does.
        </p>
      </>
    )
  }
  return (
    <>
      <h2>
        Why “{call.say}” must start by {clockInWords(call.latest)}
      </h2>
      <div className="stack">
        {(plan.explain?.[chosen!] ?? []).map((sentence) => (
          <p key={sentence}>{sentence}</p>
        ))}
        <p className="soft">
          At {lengthInWords(call.station, units)}: earliest {clockInWords(call.earliest)} · planned{' '}
          {clockInWords(call.start)} · latest {clockInWords(call.latest)} ·{' '}
          {call.late > 0.2 ? (
            <span className="over">{call.late.toFixed(1)} s over</span>
          ) : call.late > 0.002 ? (
            'tight'
          ) : (
            `${call.slack.toFixed(1)} s of slack`
          )}
        </p>
      </div>
    </>
  )
}
