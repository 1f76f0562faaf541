import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { PlanDocument } from '../../server/api/wire.ts'
import type { TakeDetail, TakesView } from '../../server/api/wireTakes.ts'
import { readWav, writeWav } from '../../server/speech/wav.ts'
import { knownTake, type Planted } from '../reading/knownTake.ts'
import { type House, microphoneThatHears, openHouse } from './openHouse.ts'

const NOTES = `start, 150, 5 right long
80, 3 left tightens 2 don't cut
100, 6 left over crest
90, hairpin right
90, 4 left opens
100, 2 right rocks inside
100, 5 left long
100, finish`
/** The file begins when the microphone is opened, some tenths before the take: how many is measured by correlation, this is the guess. */
const BEFORE_TAKE = 0.3

let house: House
let page: Page
let stage: string
let plan: PlanDocument

const planned = () => house.ask<PlanDocument>('POST', `/stages/${stage}/plan`, {})

async function openPage(file: string): Promise<void> {
  const browser = await house.launch(microphoneThatHears(`${file}%noloop`))
  const context = await browser.newContext({
    viewport: { width: 480, height: 640 },
    reducedMotion: 'reduce',
    permissions: ['microphone'],
  })
  page = await context.newPage()
}

/** Seconds from each call's preferred start, inside or half a second outside its own window; null is left out. */
function plant(): Planted {
  const wanted = ['in window', 'late', 'in window', 'late', 'skipped', 'in window', 'in window', 'early']
  return plan.calls.map((call, i) => {
    if (wanted[i] === 'skipped') return null
    if (wanted[i] === 'late') return call.latest - call.preferred + 0.5
    return wanted[i] === 'early' ? call.earliest - call.preferred - 0.5 : 0
  })
}

beforeAll(async () => {
  house = await openHouse({ engine: 'embedded', now: () => Date.now() / 1000 })
  stage = (await house.ask<{ id: string }>('POST', '/stages', { title: 'Made to be read', notes: NOTES })).id
  plan = await planned()
})

afterAll(() => house?.close())

describe('a take through the microphone', () => {
  let planted: Planted
  let detail: TakeDetail
  let truth: readonly (number | null)[]

  it('is read from the count-in to the end of the notes', async () => {
    // The voice is measured first, so that the plan the take is made from is the plan the page rides.
    const first = await house.browser.newPage()
    await first.goto(`${house.server.address}/stages/${stage}/read`)
    await first.getByRole('button', { name: 'use the microphone' }).waitFor({ timeout: 60_000 })
    await first.close()
    plan = await planned()
    expect(plan.speech).toBe('voice')
    planted = plant()
    const file = join(house.library, 'take.wav')
    const fileFrom = Math.min(-3, plan.calls[0]!.start - 0.5) - BEFORE_TAKE
    const samples = await knownTake(plan, planted, fileFrom, plan.run.time + 4)
    writeFileSync(file, writeWav({ sampleRate: 48_000, samples }))
    await openPage(file)
    await page.goto(`${house.server.address}/stages/${stage}/read`)
    // The file starts with the microphone: the take is begun from the same script, as soon as it is open.
    await page.evaluate(() => {
      const tick = () => {
        const button = [...document.querySelectorAll('button')].find((one) => one.textContent === 'start a take')
        if (button && !button.disabled) button.click()
        else setTimeout(tick, 5)
      }
      tick()
    })
    await page.getByRole('button', { name: 'use the microphone' }).click()
    await page.getByRole('button', { name: 'end the take' }).waitFor({ timeout: 30_000 })
    await page.waitForFunction(() => document.querySelector('main')?.dataset.status === 'done', undefined, {
      timeout: 85_000,
    })
    const { takes } = await house.ask<TakesView>('GET', `/stages/${stage}/takes`)
    detail = await house.ask<TakeDetail>('GET', `/stages/${stage}/takes/${takes[0]!.id}`)
    const recorded = readWav(
      new Uint8Array(
        await (await fetch(`${house.server.address}/api/stages/${stage}/takes/${detail.id}/sound`)).arrayBuffer(),
      ),
    )
    const lag = lagOf(samples, recorded.samples)
    truth = planted.map((off, i) =>
      off === null ? null : plan.calls[i]!.preferred + off - fileFrom - lag + detail.about.from,
    )
    expect(detail.seconds).toBeGreaterThan(plan.run.time)
  }, 180_000)

  it('names exactly the calls that were early, late and left out', () => {
    const expected = plan.calls.map(({ earliest, latest }, i) => {
      const start = truth[i]!
      return truth[i] === null ? 'skipped' : start < earliest ? 'early' : start > latest ? 'late' : 'in window'
    })
    expect(new Set(expected)).toEqual(new Set(['early', 'late', 'skipped', 'in window']))
    const named = (verdicts: readonly string[]) => verdicts.map((verdict, i) => `${plan.calls[i]!.say}: ${verdict}`)
    expect(named(detail.score!.calls.map((call) => call.verdict))).toEqual(named(expected))
  })

  it('tells every start to six hundredths of a second', () => {
    const errors = detail.score!.calls.flatMap((call, i) =>
      call.start === null || truth[i] === null ? [] : [Math.abs(call.start - truth[i]!)],
    )
    expect(Math.max(...errors)).toBeLessThan(0.06)
  })
})

/** Seconds by which the recording begins after the file (48 kHz), found by correlating energy in 2 ms steps: independent of what is tested. */
function lagOf(file: Int16Array, recorded: Int16Array): number {
  const envelope = (samples: Int16Array, rate: number) => {
    const step = rate / 500
    return Float64Array.from({ length: Math.floor(samples.length / step) }, (_, k) => {
      let sum = 0
      for (let i = Math.ceil(k * step); i < (k + 1) * step; i++) sum += Math.abs(samples[i]!)
      return sum / step
    })
  }
  const [a, b] = [envelope(file, 48_000), envelope(recorded, 16_000)]
  let [best, most] = [0, -1]
  for (let lag = -1000; lag < 1500; lag++) {
    let sum = 0
    for (let k = Math.max(0, -lag); k < b.length && k + lag < a.length; k++) sum += a[k + lag]! * b[k]!
    if (sum > most) [best, most] = [lag, sum]
  }
  return best / 500
}
