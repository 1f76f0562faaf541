import { Worker } from 'node:worker_threads'
import type { RoadFile, TellProgress, WholeRoad } from './assembleRoad.ts'
import type { RoadJob, RoadReply } from './assembleWorker.ts'
import { RouteFileError } from './routeFileError.ts'

interface Waiting {
  readonly resolve: (whole: WholeRoad) => void
  readonly reject: (error: Error) => void
  readonly tell: TellProgress
}

/** assembleRoad in a thread of its own, one road after another, so that a server goes on answering while a log of 200,000 points is smoothed. */
export class RoadThread {
  private worker: Worker | null = null
  private readonly waiting = new Map<number, Waiting>()
  private nextId = 1

  /** Rejects with RouteFileError as assembleRoad throws it. `tell` hears what is being done. */
  assemble(
    files: readonly RoadFile[],
    lines: readonly number[] | null,
    tell: TellProgress = () => {},
  ): Promise<WholeRoad> {
    const id = this.nextId++
    const worker = this.started()
    return new Promise((resolve, reject) => {
      this.waiting.set(id, { resolve, reject, tell })
      worker.ref()
      // Plain objects: a file of a library reads its bytes only when they are asked for.
      const job: RoadJob = {
        id,
        files: files.map(({ name, bytes, use }) => ({ name, bytes, ...(use ? { use } : {}) })),
        lines,
      }
      worker.postMessage(job)
    })
  }

  /** Ends the thread; what waits on it is rejected. */
  async close(): Promise<void> {
    await this.worker?.terminate()
  }

  private started(): Worker {
    if (this.worker) return this.worker
    const worker = new Worker(new URL('../worker.mjs', import.meta.url), {
      workerData: { module: new URL('./assembleWorker.ts', import.meta.url).href },
    })
    worker.on('message', (reply: RoadReply) => this.hear(reply))
    worker.on('error', (error) => this.fail(worker, `The road could not be built (${error.message}).`))
    worker.on('exit', () => this.fail(worker, 'The thread that builds roads has ended.'))
    worker.unref()
    this.worker = worker
    return worker
  }

  private hear(reply: RoadReply): void {
    const one = this.waiting.get(reply.id)
    if (!one) return
    if ('doing' in reply) {
      one.tell(reply.doing, reply.done)
      return
    }
    this.waiting.delete(reply.id)
    if (this.waiting.size === 0) this.worker?.unref()
    if ('whole' in reply) one.resolve(reply.whole)
    else {
      const { name, message } = reply.error
      one.reject(name === 'RouteFileError' ? new RouteFileError(message) : Object.assign(new Error(message), { name }))
    }
  }

  private fail(worker: Worker, message: string): void {
    // A thread that broke down ends some time after; what waits by then waits on the next one.
    if (this.worker !== worker) return
    this.worker = null
    for (const { reject } of this.waiting.values()) reject(new Error(message))
    this.waiting.clear()
  }
}
