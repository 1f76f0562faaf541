import { RequestProblem, request, send } from '../connection/request.ts'
import { dropDraft, keepDraft } from './draftStore.ts'

export type SaveState = 'saved' | 'saving' | 'kept here' | 'conflict'

const PAUSE_MS = 500
const RETRY_MS = 3000

/** Saves as one types: the browser's database at once, the server after a pause. A conflict keeps both texts and stops until it is settled. */
export class Autosave {
  private revision: number
  private pending: string | null = null
  private timer: ReturnType<typeof setTimeout> | null = null
  private busy = false
  private readonly stage: string
  private readonly tell: (state: SaveState, sentence?: string) => void

  constructor(stage: string, revision: number, tell: (state: SaveState, sentence?: string) => void) {
    this.stage = stage
    this.revision = revision
    this.tell = tell
  }

  change(text: string): void {
    this.pending = text
    this.tell('saving')
    void keepDraft({ stage: this.stage, text, base: this.revision }).catch(() => {})
    this.later(PAUSE_MS)
  }

  /** A conflict was settled on this text: it is saved over the revision that was shown. */
  settle(text: string, revision: number): void {
    this.revision = revision
    this.pending = text
    this.tell('saving')
    void this.save()
  }

  private later(wait: number): void {
    if (this.timer !== null) clearTimeout(this.timer)
    this.timer = setTimeout(() => void this.save(), wait)
  }

  /** Saves what is pending now. */
  async save(): Promise<void> {
    if (this.timer !== null) clearTimeout(this.timer)
    this.timer = null
    if (this.busy || this.pending === null) return
    const text = this.pending
    this.pending = null
    this.busy = true
    try {
      const { revision } = await request<{ revision: number }>(
        `/stages/${this.stage}/notes`,
        send('PUT', { text, base: this.revision }),
      )
      this.revision = revision
      if (this.pending === null) {
        await dropDraft(this.stage).catch(() => {})
        this.tell('saved')
      }
    } catch (error) {
      const conflict = error instanceof RequestProblem && error.status === 409
      if (!conflict) {
        this.pending ??= text
        this.later(RETRY_MS)
      }
      this.tell(conflict ? 'conflict' : 'kept here', (error as Error).message)
    } finally {
      this.busy = false
    }
    if (this.pending !== null && this.timer === null) this.later(PAUSE_MS)
  }
}
