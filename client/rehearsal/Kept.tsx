import type { PlanDocument, PlanRequest } from '../../server/api/wire.ts'
import { lengthInWords, speedInWords, type Units } from '../look/words.ts'

/** What this stage leaves out and where it holds back, each taken back by one click. */
export function Kept({
  plan,
  units,
  apply,
}: {
  plan: PlanDocument
  units: Units
  apply: (change: PlanRequest, words: string) => void
}) {
  const { leftOut, limits, waiting, ahead } = plan.run
  const usual = waiting === 3 && ahead === 8
  if (leftOut.length === 0 && limits.length === 0 && usual) return null
  return (
    <>
      <h3>Agreed for this stage</h3>
      <ul className="kept small">
        {leftOut.map((one) => (
          <li key={`${one.call} ${one.element} ${one.text}`}>
            {wordsOf(plan, one)} left out of “{one.text}”{' '}
            <button
              type="button"
              className="quiet"
              onClick={() => apply({ leftOut: leftOut.filter((other) => other !== one) }, 'Said again.')}
            >
              say it again
            </button>
          </li>
        ))}
        {limits.map((one) => (
          <li key={one.from}>
            no more than {speedInWords(one.speed, units)} from {lengthInWords(one.from, units)} to{' '}
            {lengthInWords(one.to, units)}{' '}
            <button
              type="button"
              className="quiet"
              onClick={() => apply({ limits: limits.filter((other) => other !== one) }, 'Limit lifted.')}
            >
              lift it
            </button>
          </li>
        ))}
        {!usual && (
          <li>
            up to {waiting} calls held in mind, the next up to {ahead.toFixed(1)} s ahead{' '}
            <button
              type="button"
              className="quiet"
              onClick={() => apply({ waiting: 3, ahead: 8 }, 'Back to three calls and 8 s.')}
            >
              back to three and 8 s
            </button>
          </li>
        )}
      </ul>
    </>
  )
}

function wordsOf(plan: PlanDocument, one: PlanDocument['run']['leftOut'][number]): string {
  const call = plan.calls.find(({ index, text }) => index === one.call && text === one.text)
  const element = (call ?? plan.calls.find(({ text }) => text === one.text))?.elements[one.element]
  return element ? `“${element.text}” is` : 'a word is'
}
