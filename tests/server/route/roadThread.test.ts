import type { Worker } from 'node:worker_threads'
import { afterEach, describe, expect, it } from 'vitest'
import { RoadThread } from '../../../server/route/roadThread.ts'

const line = [{ name: 'line.csv', bytes: new TextEncoder().encode('x,y\n0,0\n50,0\n100,0\n') }]

describe('a thread of roads that breaks down', () => {
  const thread = new RoadThread()
  afterEach(() => thread.close())

  it('is followed by another, whose roads the end of the first does not take along', async () => {
    await thread.assemble(line, null)
    // No job at all: an error outside of any road.
    ;(thread as unknown as { worker: Worker }).worker.postMessage(null)
    await expect(thread.assemble(line, null)).rejects.toThrow(/The road could not be built/)
    await expect(thread.assemble(line, null)).resolves.toMatchObject({ route: { length: 100 } })
  })
})
