import { useEffect, useState } from 'react'
import type { FitDocument, PlanDocument } from '../../server/api/wire.ts'
import { speedInWords, type Units } from '../look/words.ts'
import { ceilingMarks } from './ceilingMarks.ts'

/** Of the slider, in the crew's unit. */
const STEP = 0.1

/** The target average, with the speed up to which each wording fits marked on it. */
export function SpeedSlider({
  plan,
  fit,
  units,
  set,
}: {
  plan: PlanDocument
  fit: FitDocument | null
  units: Units
  set: (speed: number) => void
}) {
  const factor = units === 'miles' ? 3600 / 1609.344 : 3.6
  const [held, setHeld] = useState<number | null>(null)
  const points = fit?.sweep[0]?.points ?? []
  const fastest = points.at(-1)?.averageSpeed ?? plan.run.averageSpeed * 1.35
  const least = Math.floor((Math.min(fastest * 0.5, plan.run.averageSpeed) * factor) / 5) * 5
  const most = Math.ceil((Math.max(fastest, plan.run.averageSpeed) * factor) / 5) * 5
  const planned = plan.run.averageSpeed * factor
  // The slider stays where it was put until the plan has come there: else a press would start from a plan not yet made.
  useEffect(() => setHeld((at) => (at !== null && Math.abs(at - planned) < STEP / 2 ? null : at)), [planned])
  const value = held ?? planned
  const share = (speed: number) => ((speed * factor - least) / (most - least)) * 100
  const ceilings = (fit?.wordings ?? []).filter((row) => row.fits === 'to ceiling' && row.wording !== 'automatic')
  return (
    <div className="speed">
      <label htmlFor="speed">target average</label>
      <input
        id="speed"
        type="range"
        min={least}
        max={most}
        step={STEP}
        value={value}
        aria-valuetext={speedInWords(value / factor, units)}
        onChange={(event) => {
          const next = Number(event.target.value)
          setHeld(next)
          set(next / factor)
        }}
        onBlur={() => setHeld(null)}
      />
      <div className="ceilings" aria-hidden="true" hidden={ceilings.length === 0}>
        {ceilingMarks(ceilings.map((row) => ({ at: share(row.ceiling!.averageSpeed), words: row.wording }))).map(
          (mark) => (
            <i key={mark.words} style={{ left: `${mark.at}%` }} className={mark.at > 70 ? 'left' : ''}>
              {mark.words}
            </i>
          ),
        )}
      </div>
      <output htmlFor="speed">{speedInWords(value / factor, units)}</output>
      <p className="small soft ends">
        {ceilings.length > 0
          ? ceilings
              .map((row) => `${row.wording} fits to ${speedInWords(row.ceiling!.averageSpeed, units)}`)
              .join(' · ')
          : fit
            ? `the car here can do ${speedInWords(fastest, units)}`
            : ' '}
      </p>
    </div>
  )
}
