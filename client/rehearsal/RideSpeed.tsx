import { useEffect, useRef, useState } from 'react'
import { speedInWords, type Units } from '../look/words.ts'

/** How far from the speed a ride began with the slider goes, either way. */
const REACH = 0.3
/** A moving slider asks no more often than this, ms: a plan takes some milliseconds, a change of sound some more. */
const PAUSE = 120

/** The target average of a ride under way: moving it re-plans what is still to come. */
export function RideSpeed({
  at,
  usual,
  units,
  set,
}: {
  /** Of the plan being ridden, and of the one the ride began with, m/s. */
  at: number
  usual: number
  units: Units
  set: (speed: number) => void
}) {
  const factor = units === 'miles' ? 3600 / 1609.344 : 3.6
  const [held, setHeld] = useState<number | null>(null)
  const wait = useRef<ReturnType<typeof setTimeout> | null>(null)
  // The slider lets go once the plan has come to where it stands, or has answered that it cannot.
  // biome-ignore lint/correctness/useExhaustiveDependencies: `at` is the trigger
  useEffect(() => setHeld(null), [at])
  const value = held ?? Math.round(at * factor)
  return (
    <label className="ride-speed">
      average
      <input
        type="range"
        min={Math.floor(usual * factor * (1 - REACH))}
        max={Math.ceil(usual * factor * (1 + REACH))}
        step={1}
        value={value}
        aria-valuetext={speedInWords(value / factor, units, 0)}
        onChange={(event) => {
          const next = Number(event.target.value)
          setHeld(next)
          if (wait.current) clearTimeout(wait.current)
          wait.current = setTimeout(() => set(next / factor), PAUSE)
        }}
        onBlur={() => setHeld(null)}
      />
      <output>{speedInWords(value / factor, units, 0)}</output>
    </label>
  )
}
