import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { callCeilings, scaledCeiling } from '../../server/calls/ceilings.ts'
import type { CallWindow } from '../../server/calls/plan.ts'
import { replan, replanFresh } from '../../server/calls/replan.ts'
import { findCrunches, schedule } from '../../server/calls/schedule.ts'
import { chooseWording } from '../../server/calls/wordingChoice.ts'
import { hasShared, sharedPath } from '../sharedData.ts'

/** Expected numbers of cases.json are rounded to 1e-6; it asks for 2e-6. */
const TOLERANCE = 2e-6

interface Case {
  readonly id: string
  readonly title: string
  readonly input: {
    readonly calls?: readonly {
      c: number
      E: number
      L: number
      P: number
      w: number
      elements?: readonly { o: number; D: number }[]
    }[]
    readonly replan?: { readonly first: number; readonly now: number }
    readonly scale?: {
      readonly perCall?: boolean
      readonly c: readonly number[]
      readonly early: readonly { a: number; alpha: number }[][]
      readonly late: readonly { T: number; rho: number }[][]
    }
    readonly wordings?: readonly (readonly { c: number; E: number; L: number; loss: number }[])[]
    readonly critical?: readonly boolean[]
  }
  // biome-ignore lint/suspicious/noExplicitAny: expectations of many shapes, read field by field below
  readonly expect: any
}

const cases: readonly Case[] = hasShared ? JSON.parse(readFileSync(sharedPath('cases.json'), 'utf8')).cases : []

const windowsOf = (one: Case): CallWindow[] =>
  one.input.calls!.map((call) => ({
    length: call.c,
    earliest: call.E,
    latest: call.L,
    preferred: call.P,
    weight: call.w,
    ...(call.elements ? { terms: call.elements.map(({ o, D }) => ({ end: o, deadline: D })) } : {}),
  }))

function near(values: readonly number[], expected: readonly number[]): void {
  expect(values).toHaveLength(expected.length)
  values.forEach((value, i) => {
    expect(Math.abs(value - expected[i]!), `${i}: ${value} for ${expected[i]}`).toBeLessThanOrEqual(TOLERANCE)
  })
}

describe.skipIf(!hasShared)('cases.json', () => {
  for (const one of cases.filter((each) => each.input.calls)) {
    it(`${one.id}: ${one.title}`, () => {
      const windows = windowsOf(one)
      const plan = schedule(windows)
      near(plan.starts, one.expect.starts)
      near([plan.cost], [one.expect.cost])
      near(plan.soonest, one.expect.xmin)
      near(plan.late, one.expect.late)
      near(plan.trueLatest, one.expect.trueLatest)
      near(plan.slack, one.expect.slack)
      near(plan.trueLatestEff, one.expect.trueLatestEff)
      near(plan.slackEff, one.expect.slackEff)
      const crunches = findCrunches(windows)
      near(
        crunches.flatMap((c) => [c.first, c.last, c.over, ...c.core]),
        one.expect.crunches.flatMap((c: { from: number; to: number; over: number; core: number[] }) => [
          c.from,
          c.to,
          c.over,
          ...c.core,
        ]),
      )
      crunches.forEach((crunch, i) => {
        const rate = one.expect.crunches[i].rate
        if (rate === null) expect(crunch.rate).toBeNull()
        else near([crunch.rate!], [rate])
      })
      if (one.input.replan) {
        const { first, now } = one.input.replan
        near(replan(windows, plan.starts, first, now), one.expect.replan.safe)
        near(replanFresh(windows, first, now), one.expect.replan.fullLeastSquares)
      }
    })
  }

  for (const one of cases.filter((each) => each.input.scale)) {
    it(`${one.id}: ${one.title}`, () => {
      const { c, early, late, perCall } = one.input.scale!
      const calls = c.map((length, i) => ({ length, early: early[i]!, late: late[i]! }))
      const { fits, kMax, kMin, pair, slowPair } = scaledCeiling(calls)
      const expected = one.expect.ceiling
      expect([fits, pair, slowPair]).toEqual([expected.fits, expected.pair, expected.slowPair])
      near([kMax, kMin], [expected.kMax, expected.kMin])
      if (perCall)
        near(
          callCeilings(calls).map((k) => k ?? 0),
          expected.perCall.map((k: number | null) => k ?? 0),
        )
    })
  }

  for (const one of cases.filter((each) => each.input.wordings)) {
    it(`${one.id}: ${one.title}`, () => {
      const options = one.input.wordings!.map((call) =>
        call.map(({ c, E, L, loss }) => ({ length: c, earliest: E, latest: L, loss })),
      )
      const found = chooseWording(options, one.input.critical)
      const { feasible, critLate, otherLate, loss, choice } = one.expect.wording
      expect([found.feasible, found.choice, found.loss]).toEqual([feasible, choice, loss])
      near([found.criticalLate, found.otherLate], [critLate, otherLate])
    })
  }
})
