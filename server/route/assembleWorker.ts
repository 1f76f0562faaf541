import { parentPort } from 'node:worker_threads'
import { assembleRoad, type RoadFile, type WholeRoad } from './assembleRoad.ts'

export interface RoadJob {
  readonly id: number
  readonly files: readonly RoadFile[]
  readonly lines: readonly number[] | null
}

export type RoadReply =
  | { readonly id: number; readonly doing: string; readonly done: number }
  | { readonly id: number; readonly whole: WholeRoad }
  | { readonly id: number; readonly error: { readonly name: string; readonly message: string } }

parentPort!.on('message', ({ id, files, lines }: RoadJob) => {
  const reply = (message: RoadReply, moved: ArrayBuffer[] = []) => parentPort!.postMessage(message, moved)
  try {
    const whole = assembleRoad(files, lines, (doing, done) => reply({ id, doing, done }))
    const columns = Object.values(whole.route).filter((one): one is Float64Array => one instanceof Float64Array)
    reply({ id, whole }, [...new Set(columns.map((one) => one.buffer as ArrayBuffer))])
  } catch (error) {
    const { name, message } = error as Error
    reply({ id, error: { name, message } })
  }
})
