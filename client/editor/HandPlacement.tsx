import { useEffect, useState } from 'react'
import type { PlacementView } from '../../server/api/wire.ts'
import { shortText } from './lineTimes.ts'

interface Props {
  readonly placed: PlacementView
  readonly call: number | null
  readonly length: number
  /** A station puts the call there by hand; null lets the road decide again. */
  readonly anchor: (call: number, station: number | null) => void
}

/** Where the chosen call is and how sure; the same by keyboard as dragging its word on the map. */
export function HandPlacement({ placed, call, length, anchor }: Props) {
  const one = call === null ? undefined : placed.placement.calls[call]
  const [station, setStation] = useState('')
  const from = one?.from
  useEffect(() => setStation(from === undefined ? '' : from.toFixed(0)), [from])
  if (!one || call === null) {
    return (
      <p className="small soft hand">
        Choose a call in the notes or on the map to see where it is placed, and to put it elsewhere.
      </p>
    )
  }
  const by = one.by
  const sure = one.confidence >= 0.99 ? 'sure' : one.confidence >= 0.9 ? 'likely' : 'worth a look'
  const how =
    by === 'anchor'
      ? 'put there by hand'
      : by === 'distance'
        ? 'by the called distances; the road shows no place'
        : sure
  const wanted = Number(station)
  const fine = station.trim() !== '' && wanted >= 0 && wanted <= length
  return (
    <form
      className="hand small"
      onSubmit={(event) => {
        event.preventDefault()
        if (fine) anchor(call, wanted)
      }}
    >
      <p>
        “{shortText(placed.texts[call]!)}” is at {(one.from / 1000).toFixed(2)} km: {how}.
      </p>
      <div className="row">
        <label>
          station in metres{' '}
          <input
            type="number"
            min={0}
            max={Math.floor(length)}
            step={1}
            value={station}
            onChange={(event) => setStation(event.target.value)}
          />
        </label>
        <button type="submit" disabled={!fine}>
          put it there
        </button>
        {by === 'anchor' && (
          <button type="button" onClick={() => anchor(call, null)}>
            let the road decide
          </button>
        )}
      </div>
    </form>
  )
}
