import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
import { DEFAULT_CALL_SETTINGS } from '../../server/calls/defaults.ts'
import { prepareStage } from '../../server/rehearsal/prepareStage.ts'
import { estimateRun } from '../../server/rehearsal/voiceRun.ts'

const folder = fileURLToPath(new URL('../../routes-demo/tarn-hollow/', import.meta.url))
const own = JSON.parse(readFileSync(`${folder}stage.json`, 'utf8'))
const stage = prepareStage({
  title: own.title,
  notes: readFileSync(`${folder}notes.txt`, 'utf8'),
  route: { name: 'route.gpx', bytes: readFileSync(`${folder}route.gpx`) },
  anchors: [],
  settings: {},
})
const rehearsal = estimateRun(stage, {
  target: own.target,
  wording: own.wording,
  surface: own.surface,
  car: own.car,
  voice: own.voice,
  rate: own.rate,
  pitch: 50,
  calls: DEFAULT_CALL_SETTINGS,
  from: 0,
  to: Number.POSITIVE_INFINITY,
  pins: [],
})

describe('the demo is spoken as stages are (common practice, no source: about 2.4 words a second over a whole stage)', () => {
  it('has 2.3 to 2.5 words a second at its own speed', () => {
    const words = rehearsal.said.reduce((sum, call) => sum + call.words, 0)
    expect(words / rehearsal.profile.duration).toBeGreaterThan(2.3)
    expect(words / rehearsal.profile.duration).toBeLessThan(2.5)
  })

  it('has about 140 calls on about 9 km', () => {
    expect(stage.notes.calls.length).toBeGreaterThan(130)
    expect(stage.route.length / 1000).toBeCloseTo(9.1, 0)
  })
})
