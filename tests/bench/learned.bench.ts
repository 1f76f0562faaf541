import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { startServer } from '../../server/api/serve.ts'
import type { StageDetail } from '../../server/api/wire.ts'
import { DAY, type Memory } from '../../server/drill/drill.ts'
import { LearnStore, type ReviewEntry } from '../../server/library/learnStore.ts'
import { asking } from '../askServer.ts'

const NOW = 1_900_000_000
const REVIEWS = 100_000
const ANSWERS = 300
const WORDS = ['left', 'right', 'left long', 'right tightens', 'left over crest', 'right opens']

/** Notes of so many calls, no two neighbours alike. */
const notesOf = (calls: number) =>
  Array.from({ length: calls }, (_, i) => `${1 + ((i * 7) % 6)} ${WORDS[(i * 5) % WORDS.length]}, 80`).join('\n')

/** What a crew waits for, over HTTP on the whole server: 5,000 items and 100,000 reviews in one stage, and in fifteen. */
export async function run(): Promise<void> {
  await measure('one stage', 1, 2000)
  await measure('fifteen stages', 15, 140)
}

async function measure(name: string, stages: number, calls: number): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'say-when-bench-'))
  const open = () =>
    startServer({ port: 0, lan: false, library: folder, engine: 'silent', now: () => NOW, log: () => {} })
  try {
    let server = await open()
    const ask = asking(() => server.address)
    const ids: string[] = []
    for (let i = 0; i < stages; i++) {
      const made = await ask<StageDetail>('POST', '/stages', {
        title: `Stage ${i}`,
        notes: notesOf(calls),
      })
      ids.push(made.id)
      await ask('GET', `/stages/${made.id}/learn`)
    }
    await server.stop()
    const items = fill(folder, ids)

    server = await open()
    const from = performance.now()
    await ask('GET', `/stages/${ids[0]}/road?step=5`)
    const road = performance.now() - from
    const opens: number[] = []
    for (let i = 0; i < 5; i++) {
      const at = performance.now()
      await ask('GET', `/stages/${ids[0]}/learn`)
      opens.push(performance.now() - at)
    }
    const nexts: number[] = []
    for (let i = 0; i < ANSWERS; i++) {
      const at = performance.now()
      await ask('POST', `/stages/${ids[0]}/learn/answers`, {
        answers: [
          { id: `bench-answer-${i}`, call: i % calls, how: 'self', grade: i % 5 ? 'in time' : 'no', seconds: 3 },
        ],
      })
      nexts.push(performance.now() - at)
    }
    await server.stop()
    nexts.sort((a, b) => a - b)
    const at = (share: number) => nexts[Math.floor(share * (ANSWERS - 1))]!.toFixed(1)
    console.log(
      `${name}, ${items} items, ${REVIEWS} reviews: road built ${road.toFixed(0)} ms; Learn opens in ${opens[0]!.toFixed(0)} ms first, ${Math.max(...opens.slice(1)).toFixed(0)} worst of four after; answer on the disk and next item shown ${at(0.5)} ms median, ${at(0.99)} at 99 %, ${at(1)} worst of ${ANSWERS}`,
    )
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

/** A past of twenty meetings an item, written as the program writes it. */
function fill(folder: string, stages: readonly string[]): number {
  const store = new LearnStore(folder, () => NOW)
  const memory: Memory = { stability: 3, difficulty: 5, graded: NOW - DAY, met: NOW - DAY, successes: 20, others: 1 }
  const kinds = ['say', 'follows', 'order']
  const all = stages.flatMap((stage) =>
    store.calls(stage).flatMap((call) => kinds.map((kind) => ({ stage, item: `${call.id}:${kind}` }))),
  )
  const items = all.slice(0, 5000)
  const times = REVIEWS / items.length
  for (let turn = 0; turn < times; turn++) {
    const at = NOW - (times - turn) * DAY
    for (const stage of stages) {
      const own = items.filter((one) => one.stage === stage)
      const entries = own.map(
        ({ item }, i): ReviewEntry => ({
          id: `r${stage}-${i}-${turn}`,
          stage,
          item,
          device: store.device,
          turn: store.nextTurn(),
          at: at + i,
          how: 'voice',
          grade: (i + turn) % 7 === 0 ? 'no' : 'in time',
          seconds: 3,
          said: '',
          day: new Date(at * 1000).toISOString().slice(0, 10),
          setBack: false,
          claimed: null,
          features: [1, -1 + (i % 10) / 10, Math.log(1 + turn), 0.7, (i % 5) / 5],
        }),
      )
      store.write(stage, {
        entries,
        items: turn === 0 ? own.map(({ item }) => ({ id: item, memory, changed: false })) : [],
      })
    }
  }
  store.close()
  return items.length
}
