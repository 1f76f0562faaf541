import type { Rehearsal } from './stage.ts'

/** Milliseconds are what clocks, captions and checks agree on; more digits would pretend to more than a voice can keep. */
const ms = (seconds: number) => Math.round(seconds * 1000) / 1000
const mm = (metres: number) => Math.round(metres * 1000) / 1000

/**
 * A run as one JSON document in SI units: what the command line prints and the pages draw.
 * `profile` is thinned to every `profileStep`-th node when given.
 */
export function planDocument(rehearsal: Rehearsal, profileStep?: number) {
  const { stage, run, profile, plan, said } = rehearsal
  const words = said.reduce((sum, call) => sum + call.words, 0)
  return {
    stage: stage.title,
    gap: plan.gap,
    run: {
      averageSpeed: profile.averageSpeed,
      time: profile.duration,
      commitment: profile.commitment,
      surface: run.surface,
      car: run.car,
      reactionTime: run.calls.reaction,
      lead: run.calls.lead,
      wording: run.wording,
      voice: run.voice,
      rate: run.rate,
      waiting: run.calls.waiting,
      ahead: run.calls.ahead,
      limits: run.limits ?? [],
      leftOut: run.leftOut ?? [],
      pace: run.pace ?? null,
      roadSource: stage.route.source,
      length: mm(stage.route.length),
    },
    words,
    wordsPerSecond: words / profile.duration,
    speech: rehearsal.speech,
    calls: plan.calls.map((call, i) => {
      const note = stage.notes.calls[call.index]!
      const placed = stage.placement.calls[call.index]!
      return {
        ...call,
        text: note.text,
        from: note.from,
        to: note.to,
        line: note.line,
        say: said[i]!.say,
        wording: said[i]!.wording,
        clip: said[i]!.clip,
        place: { from: mm(placed.from), to: mm(placed.to) },
        confidence: placed.confidence,
        by: placed.by,
      }
    }),
    crunches: plan.crunches,
    ceiling: plan.ceiling,
    ...(profileStep === undefined ? {} : { profile: thin(rehearsal, profileStep) }),
  }
}

export type PlanDocument = ReturnType<typeof planDocument>

function thin({ profile }: Rehearsal, every: number) {
  const station: number[] = []
  const speed: number[] = []
  const time: number[] = []
  const last = profile.speed.length - 1
  for (let i = 0; i <= last; i = i === last ? last + 1 : Math.min(last, i + every)) {
    station.push(mm(i * profile.step))
    speed.push(profile.speed[i]!)
    time.push(ms(profile.time[i]!))
  }
  return { station, speed, time }
}
