import { hearFrames } from '../../../client/microphone/hearTake.ts'
import { melFramesOf } from '../../../client/microphone/melFrames.ts'
import { PRICES } from '../../../client/microphone/prices.ts'
import type { Script } from '../../../client/microphone/templates.ts'
import type { Reader } from '../../reading/readers.ts'
import { inCabin, type PlanOfCall, syntheticTake, USUAL } from '../../reading/syntheticTake.ts'
import { seededRandom } from '../../seededRandom.ts'

/** Takes with six wrong words in a hundred calls: what "listen here" offers, and how often it is right, by its odds. */
export function wrongWords(
  plan: readonly PlanOfCall[],
  script: Script,
  readers: readonly Reader[],
  seed: number,
): void {
  const says = plan.map(({ words }) => words.join(' '))
  for (const snr of [null, 20, 10]) {
    const offered: { odds: number; truth: 'hit' | 'other word' | 'false' }[] = []
    let [wrong, calls] = [0, 0]
    const falseBy: string[] = []
    for (const [r, reader] of readers.entries()) {
      const take = syntheticTake(plan, reader, seededRandom(seed * 100 + 50 + r), { ...USUAL, wrongWord: 0.06 })
      const sound = snr === null ? take.sound : inCabin(take, snr, seededRandom(7000 + r))
      const instead = new Map(take.spoken.flatMap((one) => (one.instead ? [[one.call, one.instead] as const] : [])))
      wrong += instead.size
      calls += take.spoken.filter((one) => one.kind === 'read').length
      let alarms = 0
      for (const one of hearFrames(melFramesOf(sound), script, PRICES, says).listen) {
        const said = instead.get(one.call)
        if (said === undefined) alarms++
        offered.push({
          odds: one.odds,
          truth: said === undefined ? 'false' : said === one.instead ? 'hit' : 'other word',
        })
      }
      falseBy.push(`${reader.name} ${alarms}`)
    }
    const table = [1, 3, 9].map((least) => {
      const those = offered.filter((one) => one.odds >= least)
      const count = (truth: string) => those.filter((one) => one.truth === truth).length
      return `odds ≥ ${least}: ${count('hit')} right, ${count('other word')} right place but another word, ${count('false')} false`
    })
    console.log(
      `wrong words, ${snr === null ? 'clean' : `${snr} dB`}: ${wrong} in ${calls} calls; ${table.join('; ')}; false by reader ${falseBy.join(' ')}`,
    )
  }
}
