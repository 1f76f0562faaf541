import { type FormEvent, useEffect, useState } from 'react'
import type { EventOverview } from '../../server/api/learnWire.ts'
import type { StageSummary } from '../../server/api/wire.ts'
import { request, send } from '../connection/request.ts'
import { dayInWords, minutesInWords, percent } from './learnWords.ts'

/** The event a stage is driven in: its day, minutes a day, and the stages that share them. */
export function EventForm({ stageId, zone, done }: { stageId: string; zone: string; done: () => void }) {
  const [events, setEvents] = useState<readonly EventOverview[]>([])
  const [stages, setStages] = useState<readonly StageSummary[]>([])
  const [problem, setProblem] = useState<string | null>(null)
  const own = events.find((one) => one.stages.some((place) => place.stage === stageId)) ?? null
  const load = () => {
    Promise.all([request<EventOverview[]>('/events'), request<StageSummary[]>('/stages')]).then(
      ([all, list]) => {
        setEvents(all)
        setStages(list)
      },
      (error: Error) => setProblem(error.message),
    )
  }
  useEffect(load, [])

  async function save(event: FormEvent<HTMLFormElement>): Promise<void> {
    event.preventDefault()
    const form = new FormData(event.currentTarget)
    const content = {
      name: String(form.get('name')),
      date: String(form.get('date')),
      time: String(form.get('time')),
      zone: own?.zone ?? zone,
      minutes: Number(form.get('minutes')),
      morning: form.get('morning') === 'on',
      stages: stages
        .filter((one) => one.id === stageId || form.get(`stage ${one.id}`) === 'on')
        .map((one) => ({ stage: one.id, recce: String(form.get(`recce ${one.id}`) ?? '') || null })),
    }
    try {
      await request(own ? `/events/${own.id}` : '/events', send(own ? 'PUT' : 'POST', content))
      setProblem(null)
      load()
      done()
    } catch (error) {
      setProblem((error as Error).message)
    }
  }

  return (
    <details className="event" open={own === null ? undefined : false}>
      <summary>{own ? `${own.name}: change day, minutes or stages` : 'Say when it is driven'}</summary>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      <form key={own?.id ?? 'new'} className="stack" onSubmit={save}>
        <div className="row">
          <label>
            Event <input type="text" name="name" required maxLength={120} defaultValue={own?.name ?? ''} />
          </label>
          <label>
            day <input type="date" name="date" required defaultValue={own?.date ?? ''} />
          </label>
          <label>
            start <input type="time" name="time" required defaultValue={own?.time ?? '10:00'} />
          </label>
          <label>
            minutes a day <input type="number" name="minutes" min={1} max={600} defaultValue={own?.minutes ?? 20} />
          </label>
          <label>
            <input type="checkbox" name="morning" defaultChecked={own?.morning ?? true} /> the morning is free for a
            last ride
          </label>
        </div>
        <fieldset>
          <legend>Stages that share the minutes, and the day of their recce</legend>
          {stages.map((one) => {
            const place = own?.stages.find((other) => other.stage === one.id)
            return (
              <div key={one.id} className="row">
                <label>
                  <input
                    type="checkbox"
                    name={`stage ${one.id}`}
                    defaultChecked={one.id === stageId || place !== undefined}
                    disabled={one.id === stageId}
                  />{' '}
                  {one.title}
                </label>
                <label className="small">
                  recce{' '}
                  <input
                    type="date"
                    name={`recce ${one.id}`}
                    aria-label={`recce of ${one.title}`}
                    defaultValue={place?.recce ?? ''}
                  />
                </label>
                {place && place.seconds > 0 && (
                  <span className="small soft">
                    today {minutesInWords(place.seconds)}
                    {place.forecast && !place.forecast.early ? `, about ${percent(place.forecast.share)} known` : ''}
                    {place.recce ? `, recce ${dayInWords(place.recce)}` : ''}
                  </span>
                )}
              </div>
            )
          })}
        </fieldset>
        <button type="submit">keep</button>
      </form>
    </details>
  )
}
