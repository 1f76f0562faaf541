import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import WebSocket from 'ws'
import type { Act } from '../../server/sessions/clubWire.ts'
import { farAway, percentile, wifi } from '../client/playback/simulatedNetwork.ts'
import { seededRandom } from '../seededRandom.ts'
import { type Network, Phone, skews, truth } from './clubCrowd.ts'
import { ServerProcess } from './clubServer.ts'

/** `CLUB_PHONES=300 CLUB_SECONDS=30 CLUB_SOAK_MINUTES=10 npm run bench -- club` */
const PHONES = Number(process.env.CLUB_PHONES ?? 300)
const SECONDS = Number(process.env.CLUB_SECONDS ?? 30)
const SOAK_MINUTES = Number(process.env.CLUB_SOAK_MINUTES ?? 0)
const ONLY = process.env.CLUB_ONLY?.split(',')

const NONE: Network = { name: 'none', up: () => 0, down: () => 0 }
const ALL = (): readonly Network[] => [
  NONE,
  { name: 'club wifi', up: wifi(0.002, 0.006), down: wifi(0.0018, 0.004) },
  { name: '200 ± 100 ms each way, 2 % lost', up: farAway, down: farAway },
]
const networks = () => ALL().filter((one) => one.name.includes(process.env.CLUB_NETWORK ?? ''))
const wait = (seconds: number) => new Promise<void>((resolve) => setTimeout(resolve, seconds * 1000))
const ms = (seconds: number) => (seconds * 1000).toFixed(0)
const at = (values: readonly number[], digits = 2) =>
  values.length === 0 ? '–' : [0.5, 0.95, 0.99].map((share) => percentile(values, share).toFixed(digits)).join(' / ')

class Evening {
  readonly random = seededRandom(5)
  readonly plans = new Map()
  phones: Phone[] = []
  trainer!: Phone
  private room!: { code: string; key: string }
  private stage = ''
  readonly server: ServerProcess
  private readonly library = mkdtempSync(join(tmpdir(), 'club-load-'))

  constructor() {
    this.server = new ServerProcess(this.library)
  }

  async open(): Promise<void> {
    await this.server.start()
    this.stage = (await this.server.post<{ id: string }>('/demo', {})).id
    this.room = await this.server.post('/club', { title: 'Load' })
    this.trainer = this.join(NONE, 'Trainer', this.room.key)
    await wait(1)
  }

  join(network: Network, name: string, key?: string): Phone {
    return new Phone({
      address: `${this.server.address.replace('http', 'ws')}/club`,
      network,
      random: this.random,
      plans: this.plans,
      credentials: {
        kind: 'join',
        code: this.room.code,
        name,
        role: key ? 'trainer' : 'co-driver',
        shown: true,
        ...(key ? { key } : {}),
      },
    })
  }

  async act(act: Act): Promise<void> {
    const why = await this.trainer.link.act(act)
    if (why !== null) console.log(`  ${act.do}: ${why}`)
  }

  /** Makes the demo ready as a run; the plan is fetched once for all phones of this process. */
  async ready(): Promise<void> {
    await this.act({ do: 'run', stage: this.stage, mode: 'listen' })
    const plan = this.trainer.link.room.run!.plans[0]!.id
    const answer = await fetch(`${this.server.address}/api/club/plans/${plan}`, {
      headers: { authorization: `Bearer ${this.trainer.link.me!.token}` },
    })
    this.plans.set(plan, await answer.json())
  }

  /** Starts, and every five seconds pauses or goes on, or jumps, until `seconds` are over. Returns processor use: mean and highest 2 s. */
  async ride(seconds: number): Promise<{ mean: number; most: number }> {
    await this.act({ do: 'start' })
    const [began, used] = [truth(), this.server.cpu()]
    let [last, lastUsed, most] = [began, used, 0]
    for (let k = 0; truth() < began + seconds; k++) {
      await wait(2)
      const [now, cpu] = [truth(), this.server.cpu()]
      most = Math.max(most, (cpu - lastUsed) / (now - last))
      ;[last, lastUsed] = [now, cpu]
      if (k % 4 === 1) await this.act({ do: 'pause' })
      if (k % 4 === 2) await this.act({ do: 'resume' })
      if (k % 4 === 3) await this.act({ do: 'seek', pos: 20 + ((k * 7) % 100) })
    }
    return { mean: (this.server.cpu() - used) / (truth() - began), most }
  }

  async close(): Promise<void> {
    for (const phone of [this.trainer, ...this.phones]) phone.stop()
    await this.server.kill('SIGTERM')
    rmSync(this.library, { recursive: true, force: true })
  }
}

async function evening<T>(work: (evening: Evening) => Promise<T>): Promise<T> {
  const one = new Evening()
  await one.open()
  try {
    return await work(one)
  } finally {
    await one.close()
  }
}

/** How long twenty phones take from the press to a usable clock. */
async function joining(): Promise<void> {
  const rows: Record<string, unknown> = {}
  for (const network of networks()) {
    rows[network.name] = await evening(async (e) => {
      e.phones = Array.from({ length: 20 }, (_, i) => e.join(network, `Phone ${i}`))
      await wait(5)
      const took = e.phones.map((phone) => phone.usableAfter)
      return {
        'join p50, ms': ms(percentile(took, 0.5)),
        'p95, ms': ms(percentile(took, 0.95)),
        'slowest, ms': ms(Math.max(...took)),
      }
    })
  }
  console.log('\n20 phones join at once, to a clock of five exchanges')
  console.table(rows)
}

/** Skew of scheduled sound over all phones, by network. */
async function skew(): Promise<void> {
  const rows: Record<string, unknown> = {}
  for (const network of networks()) {
    rows[network.name] = await evening(async (e) => {
      await e.ready()
      for (let i = 0; i < PHONES; i++) {
        e.phones.push(e.join(network, `Phone ${i}`))
        if (i % 20 === 19) await wait(0.05)
      }
      await wait(12)
      const cpu = await e.ride(SECONDS)
      const all = skews(e.phones, 0)
      const errors = e.phones.map((phone) => Math.abs(phone.clockError()) * 1000)
      return {
        starts: all.length,
        'skew p50/p95/p99, ms': at(all),
        'worst, ms': Math.max(...all).toFixed(1),
        'clock error p50/p95/p99, ms': at(errors),
        'told too late': e.phones.reduce((sum, phone) => sum + phone.link.late, 0),
        'cores mean / most': `${cpu.mean.toFixed(3)} / ${cpu.most.toFixed(3)}`,
        MB: e.server.memory().toFixed(0),
      }
    })
  }
  console.log(`\n${PHONES} phones, ${SECONDS} s: start, pause, go on and jump every 2 s`)
  console.table(rows)
}

/** The host killed under everybody, up again 0.7 s later, and an event told before all are back. */
async function killed(): Promise<void> {
  const rows: Record<string, unknown> = {}
  for (const network of networks()) {
    rows[network.name] = await evening(async (e) => {
      await e.ready()
      e.phones = Array.from({ length: PHONES }, (_, i) => e.join(network, `Phone ${i}`))
      await wait(12)
      await e.act({ do: 'start' })
      await wait(4)
      await e.server.kill('SIGKILL')
      const killedAt = truth()
      for (const phone of [e.trainer, ...e.phones]) phone.backAt = 0
      await wait(0.7)
      await e.server.start(e.server.port)
      const up = truth() - killedAt
      while (e.trainer.backAt === 0) await wait(0.005)
      for (let i = 0; i < 3; i++) await e.act({ do: 'lock', locked: i % 2 === 0 })
      await wait(6)
      const back = e.phones.map((phone) => (phone.backAt === 0 ? Number.POSITIVE_INFINITY : phone.backAt - killedAt))
      const reached = e.trainer.link.room.seq
      const once = e.phones.filter((phone) => phone.seqs.every((seq, i) => i === 0 || seq === phone.seqs[i - 1]! + 1))
      const same = e.phones.filter((phone) => phone.link.room.seq === reached)
      return {
        'host down, s': up.toFixed(2),
        'back p50, s': percentile(back, 0.5).toFixed(2),
        'all back, s': Math.max(...back).toFixed(2),
        'every event once, in order': `${once.length} of ${PHONES}`,
        'with the last event': `${same.length} of ${PHONES}`,
        'clock error then, p95, ms': percentile(
          e.phones.map((phone) => Math.abs(phone.clockError()) * 1000),
          0.95,
        ).toFixed(2),
      }
    })
  }
  console.log(
    `\nkill -9 under ${PHONES} phones, started again 0.7 s later (its start-up counts too); three events told as soon as the trainer is back`,
  )
  console.table(rows)
}

/** Wild connections beside quiet phones: what becomes of each, and whether the phones notice. */
async function floods(): Promise<void> {
  const row = await evening(async (e) => {
    await e.ready()
    e.phones = Array.from({ length: Math.min(100, PHONES) }, (_, i) => e.join(NONE, `Phone ${i}`))
    await wait(5)
    const quiet = e.ride(8)
    await quiet
    const from = truth()
    const closes: Record<string, number> = {}
    const wild = async (kind: string, run: (socket: WebSocket) => void) => {
      const socket = new WebSocket(`${e.server.address.replace('http', 'ws')}/club`)
      socket.on('error', () => {})
      await new Promise((resolve) => socket.once('open', resolve))
      const closed = new Promise<void>((resolve) =>
        socket.once('close', (code) => {
          closes[`${kind}: ${code}`] = (closes[`${kind}: ${code}`] ?? 0) + 1
          resolve()
        }),
      )
      run(socket)
      await closed
    }
    const many = (kind: string, run: (socket: WebSocket) => void) =>
      Promise.all([1, 2, 3, 4].map(() => wild(kind, run)))
    const attack = (async () => {
      for (let round = 0; round < 3; round++) {
        await many('10,000 messages', (socket) => {
          for (let i = 0; i < 10_000; i++) socket.send('{"type":"t","id":1}')
        })
        await many('10 MB frame', (socket) => socket.send('x'.repeat(10_000_000)))
        await many('garbage', (socket) => socket.send('\u0001{{'))
        await many('binary', (socket) => socket.send(Buffer.alloc(100)))
      }
    })()
    const cpu = await e.ride(10)
    await attack
    const calm = skews(e.phones, 0).length
    const during = skews(e.phones, from)
    return {
      closes: JSON.stringify(closes),
      'starts before / during': `${calm - during.length} / ${during.length}`,
      'skew during p50/p95/p99, ms': at(during),
      'phones still in': `${e.phones.filter((phone) => phone.link.status === 'in').length} of ${e.phones.length}`,
      'cores mean': cpu.mean.toFixed(3),
    }
  })
  console.log('\nfloods beside 100 quiet phones')
  console.log(row)
}

/** The same for long: processor, memory, skew by the minute. */
async function soak(): Promise<void> {
  console.log(`\n${PHONES} phones on club wifi for ${SOAK_MINUTES} minutes`)
  await evening(async (e) => {
    const network = ALL()[1]!
    await e.ready()
    for (let i = 0; i < PHONES; i++) {
      e.phones.push(e.join(network, `Phone ${i}`))
      if (i % 20 === 19) await wait(0.05)
    }
    await wait(12)
    const rows: Record<string, unknown>[] = []
    for (let minute = 1; minute <= SOAK_MINUTES; minute++) {
      for (const phone of e.phones) phone.heard.length = 0
      const cpu = await e.ride(60)
      const all = skews(e.phones, 0)
      rows.push({
        minute,
        MB: e.server.memory().toFixed(0),
        cores: cpu.mean.toFixed(3),
        most: cpu.most.toFixed(3),
        starts: all.length,
        'skew p50/p95/p99, ms': at(all),
      })
    }
    console.table(rows)
  })
}

export async function run(): Promise<void> {
  const parts = { joining, skew, killed, floods, ...(SOAK_MINUTES > 0 ? { soak } : {}) }
  for (const [name, part] of Object.entries(parts)) if (!ONLY || ONLY.includes(name)) await part()
}
