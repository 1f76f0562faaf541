import type { Ref } from 'react'
import type { PlanDocument } from '../../server/api/wire.ts'

/** Lateness up to this is "tight" and not shown. */
const TIGHT = 0.2

/** The whole stage as one line of time: what does not fit is hatched, `bar` is moved by whoever rides. */
export function StageLine({ plan, bar }: { plan: PlanDocument; bar: Ref<HTMLSpanElement> }) {
  const timeOf = (index: number) => plan.calls.find((one) => one.index === index)?.start ?? 0
  const share = (seconds: number) => (seconds / plan.run.time) * 100
  return (
    <div className="line" aria-hidden="true">
      {plan.crunches
        .filter((crunch) => crunch.over > TIGHT)
        .map((crunch) => (
          <i
            key={crunch.first}
            style={{
              left: `${share(timeOf(crunch.first))}%`,
              width: `${Math.max(0.6, share(timeOf(crunch.last) - timeOf(crunch.first)))}%`,
            }}
          />
        ))}
      <span ref={bar} />
    </div>
  )
}
