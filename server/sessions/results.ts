import type { StageTime } from '../units.ts'
import type { Part } from './board.ts'
import type { ClubPlan } from './clubPlan.ts'
import type { RunView } from './clubWire.ts'
import type { Member, Room } from './room.ts'

/** Crews read in turn, or each for itself: whose calls were whose. A relay asks each crew only for its own stretches. */
export function askedOf(run: RunView, plan: ClubPlan, member: Member, members: ReadonlyMap<string, Member>): number[] {
  if (run.mode !== 'relay') return plan.calls.map((call) => call.index)
  const mine = run.turns.filter((turn) => turn.member !== null && sameCrew(member, members.get(turn.member)))
  return plan.calls.filter((call) => mine.some((t) => call.index >= t.from && call.index < t.to)).map((c) => c.index)
}

export const sameCrew = (one: Member, other: Member | undefined): boolean =>
  other !== undefined && (one.id === other.id || (one.crew !== null && one.crew === other.crew))

/** What each member did in a run up to stage time `until`, as the board counts it: a call not reached is not missed. */
export function partsOf(room: Room, run: RunView, plan: ClubPlan, until: StageTime): Part[] {
  const passed = new Set(plan.calls.filter((call) => call.start < until).map((call) => call.index))
  const parts: Part[] = []
  for (const [id, doings] of room.doings.get(run.id) ?? []) {
    const member = room.members.get(id)
    if (!member) continue
    const errors = new Map<number, number>()
    for (const tap of doings.taps) if (tap.call !== null && tap.error !== null) errors.set(tap.call, tap.error)
    parts.push({
      name: member.name,
      shown: member.shown,
      errors,
      asked: askedOf(run, plan, member, room.members).filter((call) => passed.has(call)),
      right: doings.answers.filter((one) => one.right).length,
      questions: doings.answers.length === 0 ? 0 : run.quiz.filter((item) => passed.has(item.call)).length,
      vote: doings.vote,
    })
  }
  return parts
}

/**
 * A field of a CSV file (RFC 4180, from memory). One that a spreadsheet would take for a formula gets an apostrophe in front: names are free text and
 * the file is opened on the trainer's machine. Negative numbers stay numbers.
 */
export function csvField(value: string | number | null): string {
  if (value === null) return ''
  if (typeof value === 'number') return String(Math.round(value * 1000) / 1000)
  const safe = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}

const HEAD = 'run,stage,mode,crew,name,role,kind,call,words,planned s,tapped s,late s,right'

/** The evening as CSV: one line for every tap, answer and vote; of one member only, or of all (the trainer's). */
export function resultsCsv(room: Room, plans: (id: string) => ClubPlan | null, only: string | null): string {
  const lines = [HEAD]
  for (const [run, all] of room.doings) {
    const view = room.runs.get(run)
    for (const [id, doings] of all) {
      const member = room.members.get(id)
      if (only !== null && id !== only) continue
      const who = [
        run,
        view?.title ?? '',
        view?.mode ?? '',
        member?.crew ?? '',
        member?.name ?? 'left',
        member?.role ?? '',
      ]
      const add = (...fields: (string | number | null)[]) => lines.push([...who, ...fields].map(csvField).join(','))
      for (const tap of doings.taps) {
        const call = plans(tap.plan)?.calls.find((one) => one.index === tap.call)
        add('tap', tap.call, call?.say ?? '', call?.start ?? null, tap.pos, tap.error, null)
      }
      for (const answer of doings.answers) {
        const plan = view?.plans[0] ? plans(view.plans[0]) : null
        const call = plan?.calls.find((one) => one.index === answer.call)
        add('answer', answer.call, call?.say ?? '', call?.start ?? null, null, null, answer.right ? 'yes' : 'no')
      }
      if (doings.vote) add('vote', null, doings.vote, null, null, null, null)
    }
  }
  return `${lines.join('\r\n')}\r\n`
}
