import { hearTake } from '../../client/microphone/hearTake.ts'
import { openEmbeddedEngine } from '../../server/speech/embeddedEngine.ts'
import { emptyTally, judgeInPlace, quantile } from '../reading/judge.ts'
import { planOfTake } from '../reading/planOfTake.ts'
import { hasProgram, READERS } from '../reading/readers.ts'
import { inCabin, RATE, syntheticTake } from '../reading/syntheticTake.ts'
import { seededRandom } from '../seededRandom.ts'

const SEED = 2
const CALLS = 120
const NOISE: readonly (number | null)[] = [null, 20, 10, 5, 0]

const percent = (part: number, whole: number) => (whole === 0 ? '–' : ((100 * part) / whole).toFixed(1))
const ms = (seconds: number) => Math.round(1000 * seconds)

export async function run(): Promise<void> {
  const engine = openEmbeddedEngine()
  const { plan, script } = await planOfTake(CALLS, SEED, engine)
  await engine.close()
  const only = process.env.READERS?.split(',')
  const readers = READERS.filter(
    (one) => one.name !== 'E0' && hasProgram(one.program) && (!only || only.includes(one.name)),
  )
  const takes = readers.map((reader, r) => ({
    reader,
    take: syntheticTake(plan, reader, seededRandom(SEED * 100 + r)),
  }))
  for (const snr of NOISE) {
    const all = emptyTally()
    let spent = 0
    const names: string[] = []
    for (const [r, { reader, take }] of takes.entries()) {
      const sound = snr === null ? take.sound : inCabin(take, snr, seededRandom(7000 + r))
      const one = emptyTally()
      const t = performance.now()
      const heard = hearTake(sound, script)
      spent += (performance.now() - t) / 1000 / (sound.length / RATE)
      judgeInPlace(one, take, heard.calls, CALLS)
      judgeInPlace(all, take, heard.calls, CALLS)
      names.push(`${reader.name} ${percent(one.right, one.read)}`)
    }
    const starts = all.starts.map(Math.abs)
    console.log(
      `${snr ?? 'clean'}: right ${percent(all.right, all.read)} wrong ${percent(all.wrong, all.read)} of ${all.read}; start p50 ${ms(quantile(starts, 0.5))} p95 ${ms(quantile(starts, 0.95))}, median ${ms(quantile(all.starts, 0.5))}; ` +
        `end p50 ${ms(quantile(all.ends.map(Math.abs), 0.5))} p95 ${ms(quantile(all.ends.map(Math.abs), 0.95))}; skipped P ${percent(all.leftOutRightly, all.leftOut)} R ${percent(all.leftOutRightly, all.skipped)} of ${all.skipped}; cost ${(spent / takes.length).toFixed(4)}\n   ${names.join('  ')}`,
    )
  }
}
