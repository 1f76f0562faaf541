import { FARTHEST_DAYS, planByDay, streak } from '../drill/dayPlan.ts'
import { DAY } from '../drill/drill.ts'
import { chanceAt, FIRST_TOLD, lastOvernight, overClaim, rangeOf } from '../drill/forecast.ts'
import { isOvernight } from '../drill/forecastHead.ts'
import { dateIn, daysBetween, instantOf, practiceDay } from '../drill/practiceDay.ts'
import { planSession } from '../drill/session.ts'
import { shareMinutes, sharesByDay } from '../drill/shareMinutes.ts'
import { type ForecastRequest, knownOnDays, knownOnTheDay, meetingsOf } from '../drill/stageForecast.ts'
import { type LearnDesk, type Learning, memoryOf, TOMORROW } from './learnDesk.ts'
import type { CurvePoint, EventOverview, LearnView } from './learnWire.ts'

/** Minutes a day while no event says how many. */
export const DEFAULT_MINUTES = 20
const AMPLE = 0.95

/** A stage without notes. */
const NOTHING: Omit<LearnView, 'stage' | 'title' | 'today' | 'event'> = {
  calls: [],
  forecast: null,
  curve: [],
  plan: null,
  sitting: [],
  streak: 0,
  doneToday: 0,
  ride: { heard: 0, position: 0 },
  ample: false,
  overClaim: 0,
  problem: null,
}

/** Everything the Learn page shows of a stage. */
export async function learnView(desk: LearnDesk, stage: string, zoneAsked?: string): Promise<LearnView> {
  const now = desk.now()
  const event = desk.eventOf(stage)
  const zone = desk.zone(stage, zoneAsked)
  const today = practiceDay(now, zone)
  if (desk.isEmpty(stage)) return { ...NOTHING, stage, title: desk.desk.library.read(stage).title, today, event }
  const learning = await desk.open(stage)
  const { recall, inTime } = desk.fitted()
  const start = event ? instantOf(event) : now + TOMORROW
  const at = Math.max(start, now)
  const { memories, evidence, overnight, over, claims } = knownSoFar(desk, learning, stage)
  const practised = desk.store.days(stage)
  const doneToday = practised.find((one) => one.day === today)?.seconds ?? 0
  const ride = desk.ride(stage, today)
  const minutes = event?.minutes ?? DEFAULT_MINUTES
  const shares =
    event && event.stages.length > 1 ? await sharesOf(desk, stage, event, today) : (_day: number) => minutes * 60
  const plan = event
    ? planByDay({
        now,
        event,
        minutesPerDay: minutes,
        morning: event.morning,
        costs: learning.costs,
        state: ride,
        doneToday,
        secondsOn: shares,
      })
    : null
  const request = (moment: number, planned: boolean): ForecastRequest => ({
    memories,
    head: recall,
    at: moment,
    meetings:
      planned && plan
        ? meetingsOf(
            plan.days.filter((day) => day.at < moment),
            memories.length,
          )
        : memories.map(() => []),
    overnight,
    claims,
  })
  const evenings = practised.length
  const nights = event && practised[0] ? daysBetween(practised[0].day, event.date) : evenings
  const stopped = knownOnTheDay(request(at, false), now)
  const gaps = desk.gaps(learning)
  const curve = curveOf()
  // The curve ends at the event's start.
  const carriedOut = event && start > now ? (curve.at(-1)?.planned ?? null) : null
  const names = new Map(desk.store.calls(stage).map((one) => [one.id, one]))
  const saidBy = new Map(learning.plan.calls.map((one) => [one.index, one.say]))
  const placed = learning.stage.placement.calls
  return {
    stage,
    title: learning.stage.title,
    today,
    event,
    calls: learning.calls.map((call, i) => {
      const memory = memories[i]!
      return {
        call: i,
        text: call.text,
        say: saidBy.get(i) ?? call.text,
        from: placed[i]!.from,
        to: placed[i + 1]?.from ?? learning.stage.route.length,
        known: chanceAt(memory, at, recall, [], claims),
        answers: memory?.successes ?? 0,
        met: memory ? memory.successes + memory.others : 0,
        changed: learning.stored.get(`${call.id}:say`)?.changed ?? false,
        gap: gaps[i]!,
        offered: call.offered.flatMap((id) => {
          const one = names.get(id)
          const known = learning.stored.get(`${id}:say`)?.memory
          return one ? [{ id, text: one.text, met: known ? known.successes + known.others : 0 }] : []
        }),
        moment: learning.moments.includes(i),
      }
    }),
    forecast:
      memories.length === 0
        ? null
        : {
            ...rangeOf(carriedOut ?? knownOnTheDay(request(at, true), now), evenings, Math.max(nights, evenings)),
            inTime: mean(memories.map((one) => chanceAt(one, at, inTime, [], claims))),
            lastNight: lastOvernight(evidence),
            stopped,
          },
    curve,
    plan,
    sitting: plan
      ? plan.days.filter((day) => day === plan.days[0] && day.date === today).flatMap((day) => day.stretches)
      : planSession({ ...ride, costs: learning.costs, seconds: Math.max(0, shares(0) - doneToday) }),
    streak: streak(
      practised.map((one) => one.day),
      today,
    ),
    doneToday,
    ride: { heard: ride.heard, position: ride.position },
    ample: isAmple(evidence, learning.calls.length),
    overClaim: over,
    problem: desk.store.problem,
  }

  function curveOf(): CurvePoint[] {
    const points = new Map<string, CurvePoint>()
    for (const day of new Set(evidence.map((one) => one.day))) {
      const asked = evidence.filter((one) => one.day === day && isOvernight(one.features))
      if (asked.length === 0) continue
      points.set(day, {
        date: day,
        asked: asked.filter((one) => one.recalled).length / asked.length,
        planned: null,
        stopped: null,
      })
    }
    if (event && start > now) {
      // From tomorrow on: minutes after an answer there is nothing to forecast.
      const moments: number[] = []
      for (let moment = now + TOMORROW; moment < start && moments.length < FARTHEST_DAYS; moment += DAY)
        moments.push(moment)
      moments.push(start)
      const planned = knownOnDays(request(start, true), moments, now)
      const stopped = knownOnDays(request(start, false), moments, now)
      moments.forEach((moment, i) => {
        const date = dateIn(moment, zone)
        const asked = points.get(date)?.asked ?? null
        points.set(date, { date, asked, planned: planned[i]!, stopped: stopped[i]! })
      })
    }
    return [...points.values()].sort((a, b) => a.date.localeCompare(b.date))
  }
}

/** What a forecast of a stage rests on: each call's memory, what was asked so far, and how much of the crew's own judgement to take off. */
function knownSoFar(desk: LearnDesk, learning: Learning, stage: string) {
  const evidence = desk.evidenceOf(stage)
  const selfShare = evidence.length === 0 ? 0 : evidence.filter((one) => one.how === 'self').length / evidence.length
  const over = overClaim(desk.store.claims())
  const overnight = evidence
    .filter((one) => isOvernight(one.features))
    .map((one) => ({
      passes: Math.exp(one.features[2]) + Math.exp(one.features[3]) - 2,
      recalled: one.recalled,
    }))
  const memories = learning.calls.map((call) => memoryOf(learning, call.id))
  return { memories, evidence, overnight, over, claims: over * selfShare }
}

/** Every event with its stages and today's minutes among them. A stage that cannot be opened says so and gets none. */
export async function eventOverview(desk: LearnDesk): Promise<EventOverview[]> {
  const views: EventOverview[] = []
  for (const event of desk.events()) {
    const today = practiceDay(desk.now(), event.zone)
    const needs = await needsOf(desk, event, today)
    const sittings = new Map(
      shareMinutes(
        needs.flatMap((one) => one.need ?? []),
        event.minutes * 60,
      ).map((one) => [one.stage, one.seconds]),
    )
    views.push({
      ...event,
      stages: needs.map(({ place, title, need, evenings, nights, done, problem }) => ({
        stage: place.stage,
        title,
        recce: place.recce,
        calls: need?.calls ?? 0,
        forecast: need?.forecast == null ? null : rangeOf(need.forecast, evenings, nights),
        seconds: sittings.get(place.stage) ?? 0,
        rested: need?.rested ?? null,
        done,
        problem,
      })),
    })
  }
  return views
}

type Event = ReturnType<LearnDesk['events']>[number]

async function needsOf(desk: LearnDesk, event: Event, today: string) {
  const { recall } = desk.fitted()
  const at = Math.max(desk.now(), instantOf(event))
  return Promise.all(
    event.stages.map(async (place, order) => {
      const days = desk.store.days(place.stage)
      const evenings = days.length
      const done = days.find((one) => one.day === today)?.seconds ?? 0
      const nights = days[0] ? Math.max(0, daysBetween(days[0].day, event.date)) : 0
      try {
        const learning = await desk.open(place.stage)
        const { memories, overnight, claims } = knownSoFar(desk, learning, place.stage)
        const meetings = memories.map(() => [])
        const stopped = knownOnTheDay({ memories, head: recall, at, meetings, overnight, claims }, desk.now())
        // As the day began: what was done today must not turn today's shares round.
        const last = days.filter((one) => one.day < today).at(-1)
        return {
          place,
          title: learning.stage.title,
          evenings,
          nights,
          done,
          problem: null,
          need: {
            stage: place.stage,
            calls: memories.length,
            forecast: evenings < FIRST_TOLD || memories.length === 0 ? null : stopped,
            ride: learning.costs.condensed.reduce((sum, one) => sum + one, 0),
            rested: last ? daysBetween(last.day, today) : null,
            order,
          },
        }
      } catch (error) {
        return { place, title: place.stage, evenings, nights, done, need: null, problem: (error as Error).message }
      }
    }),
  )
}

/** Seconds of this stage on each day from today on. */
async function sharesOf(desk: LearnDesk, stage: string, event: Event, today: string): Promise<(day: number) => number> {
  const needs = await needsOf(desk, event, today)
  const days = sharesByDay(
    needs.flatMap((one) => one.need ?? []),
    event.minutes * 60,
    Math.min(FARTHEST_DAYS, Math.max(1, daysBetween(today, event.date))),
  )
  return (day) => days[day]?.get(stage) ?? 0
}

/** Two days running with a whole stage's worth of answers, more than AMPLE of them in time. */
function isAmple(evidence: ReturnType<LearnDesk['evidenceOf']>, calls: number): boolean {
  const days = [...new Set(evidence.map((one) => one.day))].slice(-2)
  return (
    days.length === 2 &&
    days.every((day) => {
      const own = evidence.filter((one) => one.day === day)
      return own.length >= calls && own.filter((one) => one.inTime).length > AMPLE * own.length
    })
  )
}

const mean = (values: readonly number[]) =>
  values.length === 0 ? 0 : values.reduce((sum, one) => sum + one, 0) / values.length
