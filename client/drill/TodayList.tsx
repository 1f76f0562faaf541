import { useEffect, useState } from 'react'
import type { EventOverview, LearnView } from '../../server/api/learnWire.ts'
import { request } from '../connection/request.ts'
import { dayInWords, minutesInWords, percent } from './learnWords.ts'

/** Today's minutes among the stages of the event, neediest first as they are best sat down for; nothing where the event has one stage. */
export function TodayList({ view }: { view: LearnView }) {
  const [event, setEvent] = useState<EventOverview | null>(null)
  const id = view.event && view.event.stages.length > 1 ? view.event.id : null
  // biome-ignore lint/correctness/useExhaustiveDependencies: what was done today changes what is left of it
  useEffect(() => {
    let alive = true
    if (id === null) setEvent(null)
    else
      request<EventOverview[]>('/events').then(
        (all) => alive && setEvent(all.find((one) => one.id === id) ?? null),
        () => {},
      )
    return () => {
      alive = false
    }
  }, [id, view.doneToday])
  if (!event) return null
  const stages = [...event.stages].sort((a, b) => b.seconds - a.seconds)
  return (
    <section aria-labelledby="today" className="today">
      <h2 id="today">Today, {minutesInWords(event.minutes * 60)} in all</h2>
      <ul>
        {stages.map((one) => (
          <li key={one.stage} aria-current={one.stage === view.stage ? 'true' : undefined}>
            <span className="number">{todayInWords(one)}</span>{' '}
            {one.stage === view.stage ? (
              <strong>{one.title}</strong>
            ) : (
              <a href={`/stages/${one.stage}/learn`}>{one.title}</a>
            )}
            <span className="small soft">
              {one.forecast && !one.forecast.early
                ? ` about ${percent(one.forecast.share)} known if you stopped now`
                : ' too early to say'}
              {one.recce && `, recce ${dayInWords(one.recce)}`}
              {one.problem && `. ${one.problem}`}
            </span>
          </li>
        ))}
      </ul>
    </section>
  )
}

function todayInWords({ seconds, done }: EventOverview['stages'][number]): string {
  if (seconds === 0) return done > 0 ? `${minutesInWords(done)} done` : 'rests'
  return done > 0 ? `${minutesInWords(Math.min(done, seconds))} of ${minutesInWords(seconds)}` : minutesInWords(seconds)
}
