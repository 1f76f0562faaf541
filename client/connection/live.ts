import type { ClientMessage, PlanDocument, PlanRequest, ServerMessage } from '../../server/api/wire.ts'
import type { ParsedNotes } from '../../server/notes/notes.ts'
import { planWithoutServer } from './keptPlans.ts'
import { RequestProblem } from './request.ts'

type Waiting = {
  readonly message: ClientMessage
  readonly resolve: (value: ServerMessage) => void
  readonly reject: (error: Error) => void
  readonly onProgress?: (done: number, total: number) => void
}

type Without<T> = T extends unknown ? Omit<T, 'id'> : never

/** Waits between tries to reconnect, ms. */
const RETRY = [100, 200, 400, 800, 1500]

/** The one live socket of this page: answers come by id; a lost connection is made again and what waits is asked again. */
class LiveSocket {
  private socket: WebSocket | null = null
  private nextId = 1
  private tries = 0
  private readonly waiting = new Map<number, Waiting>()

  ask(message: Without<ClientMessage>, onProgress?: (done: number, total: number) => void): Promise<ServerMessage> {
    const id = this.nextId++
    return new Promise((resolve, reject) => {
      const full = { ...message, id } as ClientMessage
      // A newer question of the same kind makes an older one idle.
      for (const [other, one] of this.waiting) {
        if (one.message.type === full.type && full.type !== 'speech.prepare') {
          this.waiting.delete(other)
          one.reject(new Superseded())
        }
      }
      this.waiting.set(id, { message: full, resolve, reject, ...(onProgress ? { onProgress } : {}) })
      const socket = this.open()
      if (socket.readyState === WebSocket.OPEN) socket.send(JSON.stringify(full))
    })
  }

  private open(): WebSocket {
    if (this.socket && this.socket.readyState <= WebSocket.OPEN) return this.socket
    const socket = new WebSocket(`${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}/live`)
    socket.onopen = () => {
      this.tries = 0
      for (const { message } of this.waiting.values()) socket.send(JSON.stringify(message))
    }
    socket.onmessage = (event) => this.receive(JSON.parse(String(event.data)) as ServerMessage)
    socket.onclose = () => {
      this.socket = null
      if (this.waiting.size === 0) return
      const wait = RETRY[Math.min(this.tries++, RETRY.length - 1)]!
      setTimeout(() => this.open(), wait)
    }
    this.socket = socket
    return socket
  }

  private receive(message: ServerMessage): void {
    const one = this.waiting.get(message.id)
    if (!one) return
    if (message.type === 'speech.progress') {
      one.onProgress?.(message.done, message.total)
      return
    }
    this.waiting.delete(message.id)
    if (message.type === 'problem') one.reject(new RequestProblem(message.problem))
    else one.resolve(message)
  }
}

/** A newer question took the place of this one; nothing to tell the person. */
export class Superseded extends Error {
  override readonly name = 'Superseded'
}

const live = new LiveSocket()

export async function parseNotes(stage: string, text: string, repair = false): Promise<ParsedNotes> {
  const answer = await live.ask({ type: 'notes.parse', stage, text, repair })
  if (answer.type !== 'notes.parsed') throw new Error(`unexpected ${answer.type}`)
  return answer.parsed
}

export async function changePlan(stage: string, request: PlanRequest): Promise<PlanDocument> {
  const answer = await live.ask({ type: 'plan.change', stage, request })
  if (answer.type !== 'plan.ready') throw new Error(`unexpected ${answer.type}`)
  return answer.plan
}

export async function prepareSpeech(
  stage: string,
  request: PlanRequest,
  onProgress: (done: number, total: number) => void,
): Promise<PlanDocument> {
  const kept = await planWithoutServer(stage, request)
  if (kept) return kept
  const answer = await live.ask({ type: 'speech.prepare', stage, request }, onProgress)
  if (answer.type !== 'speech.ready') throw new Error(`unexpected ${answer.type}`)
  return answer.plan
}
