import { useRef } from 'react'
import type { TakeDetail } from '../../../server/api/wireTakes.ts'
import { clockInWords } from '../../look/words.ts'

/** Sound heard before and after the call, seconds. */
const AROUND = 0.4

/** Places of a quiet take where another word fits better. An offer to listen, with its odds; nothing is scored by it. */
export function ListenAgain({ stageId, take }: { stageId: string; take: TakeDetail }) {
  const audio = useRef<HTMLAudioElement>(null)
  const until = useRef(Number.POSITIVE_INFINITY)
  const places = (take.heard?.listen ?? []).flatMap((place) => {
    const call = take.score?.calls.find((one) => one.index === place.index)
    return call?.start == null ? [] : [{ ...place, say: call.say, from: call.start, to: call.end ?? call.start + 2 }]
  })
  if (places.length === 0) return null
  const hear = (from: number, to: number) => {
    const element = audio.current!
    until.current = to - take.about.from + AROUND
    element.currentTime = Math.max(0, from - take.about.from - AROUND)
    void element.play()
  }
  return (
    <section>
      <h3>Listen here</h3>
      <p className="small soft">
        Perhaps other words were read than the notes have. It is a guess from the sound alone; nothing is scored by it.
      </p>
      <ul>
        {places.map((place) => (
          <li key={place.index}>
            <span className="row">
              <button type="button" onClick={() => hear(place.from, place.to)}>
                hear it
              </button>
              <span>
                {clockInWords(place.from)} “{place.say}”: perhaps “{place.instead}”, about {Math.round(place.odds)} to 1
              </span>
            </span>
          </li>
        ))}
      </ul>
      {/* biome-ignore lint/a11y/useMediaCaption: the words stand beside it */}
      <audio
        ref={audio}
        preload="none"
        src={`/api/stages/${stageId}/takes/${take.id}/sound`}
        onTimeUpdate={({ currentTarget }) => {
          if (currentTarget.currentTime >= until.current) currentTarget.pause()
        }}
      />
    </section>
  )
}
