import type { AnswerSent, AnswersTaken, Graded } from '../../../server/api/learnWire.ts'
import { RequestProblem } from '../../connection/request.ts'

export interface AnswerDoors {
  /** Resolves once the answers are on the server's disk. */
  send(answers: readonly AnswerSent[]): Promise<AnswersTaken>
  newId(): string
  /** What this browser keeps of answers that are not yet on the server's disk; null where it keeps nothing. */
  kept(): string | null
  keep(text: string): void
}

/**
 * Answers on their way, in order. One that could not be sent stays and goes with the next; sent twice it counts once, by its id; one whose call is no longer in
 * the notes is let go. All of them, and the one that still waits for its easy or hard, are kept in the browser until the server has them, and sent when a page
 * opens the stage again.
 */
export class AnswerQueue {
  private readonly doors: AnswerDoors
  private readonly tell: (words: string) => void
  private queue: AnswerSent[]
  private draft: AnswerSent | null = null
  private sending: Promise<void> = Promise.resolve()

  constructor(doors: AnswerDoors, tell: (words: string) => void) {
    this.doors = doors
    this.tell = tell
    this.queue = readKept(doors.kept())
    if (this.queue.length > 0) this.sending = this.post()
  }

  /** An answer that may still be told easy or hard. */
  wait(answer: Omit<AnswerSent, 'id'>): void {
    this.draft = { ...answer, id: this.doors.newId() }
    this.keep()
  }

  /** The one that waited, as it came out, or another. */
  add(answer: Omit<AnswerSent, 'id'>): void {
    const waited = this.draft?.call === answer.call ? this.draft : null
    if (waited) this.draft = null
    this.queue.push({ ...answer, id: waited?.id ?? this.doors.newId() })
    this.keep()
    this.sending = this.sending.then(() => this.post())
  }

  /** When all that was added so far was sent, or could not be. */
  settled(): Promise<void> {
    return this.sending
  }

  private keep(): void {
    this.doors.keep(JSON.stringify(this.draft ? [...this.queue, this.draft] : this.queue))
  }

  private async post(sent: readonly AnswerSent[] = [...this.queue]): Promise<void> {
    if (sent.length === 0) return
    try {
      const { graded } = await this.doors.send(sent)
      this.drop(sent)
      const [last, how] = [graded.at(-1), sent.at(-1)!.how]
      if (last?.grade && how !== 'self') this.tell(inWords(last))
    } catch (error) {
      const gone = error instanceof RequestProblem && error.status === 409
      // One about a call that is no longer in the notes must not hold up the others for good.
      if (gone && sent.length > 1) {
        for (const one of sent) await this.post([one])
        return
      }
      if (gone) this.drop(sent)
      this.tell((error as Error).message)
    }
  }

  private drop(sent: readonly AnswerSent[]): void {
    this.queue = this.queue.filter((one) => !sent.includes(one))
    this.keep()
  }
}

function readKept(text: string | null): AnswerSent[] {
  try {
    const kept = JSON.parse(text ?? '[]') as unknown
    return Array.isArray(kept) ? (kept as AnswerSent[]) : []
  } catch {
    return []
  }
}

function inWords({ grade, answer }: Graded): string {
  if (grade === 'no') return `Not known: ${answer}`
  return grade === 'late' ? `Right, but late or hard: ${answer}` : `Right: ${answer}`
}
