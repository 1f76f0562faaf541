import { spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readCaptions } from '../../server/notes/readCaptions.ts'
import { importRoute } from '../../server/route/importRoute.ts'
import { openSilentEngine } from '../../server/speech/silentEngine.ts'
import { cueFile, planCsv } from '../../server/takealong/cueFile.ts'
import { planRows } from '../../server/takealong/planTable.ts'
import { readCallPoints, readPlanCsv, readPlanJson } from '../../server/takealong/readPlanFile.ts'
import { demoRun } from '../server/takealong/demoRun.ts'
import { gpxFaults } from './gpxOrder.ts'

const folder = mkdtempSync(join(tmpdir(), 'cues-'))
let { rehearsal }: Awaited<ReturnType<typeof demoRun>> = {} as never
beforeAll(async () => {
  rehearsal = (await demoRun('skerry-road', openSilentEngine())).rehearsal
})
afterAll(() => rmSync(folder, { recursive: true }))

describe('a plan as a table', () => {
  it('comes back whole from CSV', () =>
    expect(readPlanCsv(cueFile(rehearsal, 'csv').text)).toEqual(planRows(rehearsal)))
  it('comes back whole from JSON', () =>
    expect(readPlanJson(cueFile(rehearsal, 'json').text)).toEqual(planRows(rehearsal)))
  it('comes back whole from GPX', () =>
    expect(readCallPoints(cueFile(rehearsal, 'gpx').text)).toEqual(planRows(rehearsal)))
  it('keeps quotes, commas and line ends of a call through CSV', () => {
    const odd = [{ ...planRows(rehearsal)[0]!, text: 'a "b", c\r\nd', said: '' }]
    expect(readPlanCsv(planCsv(odd))).toEqual(odd)
  })
  it('says which number it cannot read, and where', () => {
    const text = cueFile(rehearsal, 'csv').text.replace(/,0,/, ',soon,')
    expect(() => readPlanCsv(text)).toThrow(/is "soon", not a number/)
  })
  it('names the missing column of another table', () =>
    expect(() => readPlanCsv('a,b\r\n1,2\r\n')).toThrow(/no column "call"/))
})

// GPX 1.1: topografix GPX 1.1 schema; version and creator required on gpx, lat and lon on points.
describe('calls as GPX', () => {
  it('keep to the schema', () => expect(gpxFaults(cueFile(rehearsal, 'gpx').text)).toEqual([]))
  it('would be caught out of order', () =>
    expect(gpxFaults('<gpx version="1.1" creator="x"><trk/><wpt lat="1" lon="2"/></gpx>')).toHaveLength(1))
  it('hold the road for our own importer', () => {
    const text = cueFile(rehearsal, 'gpx').text
    const draft = importRoute(new TextEncoder().encode(text), 'calls.gpx')
    expect(draft.northing.length).toBe((text.match(/<trkpt /g) ?? []).length)
  })
})

describe('captions over a video', () => {
  it('stand where the car leaves in the video', () => {
    const first = rehearsal.plan.calls.find((call) => call.start > 0)!
    const ms = String(Math.round((first.start + 100) * 1000) % 1000).padStart(3, '0')
    expect(cueFile(rehearsal, 'vtt', 100).text).toContain(`.${ms} -->`)
  })
  // Our own importer reads WebVTT with the parser of the specification's author (webvtt-parser).
  it.each(['vtt', 'srt'] as const)('come back whole from %s through the importer of captions', (format) => {
    const { text, cues, faults } = readCaptions(cueFile(rehearsal, format, 10).text)
    const ms = (seconds: number) => Math.round(seconds * 1000)
    const { calls } = rehearsal.plan
    expect(faults).toEqual([])
    expect(text.split('\n')).toEqual(rehearsal.said.map((one) => one.say))
    expect(cues.map((one) => [ms(one.start), ms(one.end)])).toEqual(
      calls.map((call) => [ms(call.start + 10), ms(call.end + 10)]),
    )
  })
  it('leave out and count what comes before the video', () => {
    const third = rehearsal.plan.calls[2]!
    expect(cueFile(rehearsal, 'vtt', -third.start).dropped).toBe(2)
  })
  // W3C WebVTT and SubRip by a maintained parser of another house (ffmpeg).
  it.skipIf(!existsSync('/usr/bin/ffprobe')).each(['vtt', 'srt'] as const)('are read as %s by ffprobe', (format) => {
    const file = join(folder, `run.${format}`)
    writeFileSync(file, cueFile(rehearsal, format, 10).text)
    const { stdout } = spawnSync('ffprobe', ['-v', 'error', '-show_packets', '-of', 'json', file], { encoding: 'utf8' })
    const read = (JSON.parse(stdout).packets as { pts_time: string; duration_time: string }[]).map((one) => [
      Math.round(Number(one.pts_time) * 1000),
      Math.round(Number(one.duration_time) * 1000),
    ])
    const ms = (seconds: number) => Math.round((seconds + 10) * 1000)
    expect(read).toEqual(rehearsal.plan.calls.map((call) => [ms(call.start), ms(call.end) - ms(call.start)]))
  })
})
