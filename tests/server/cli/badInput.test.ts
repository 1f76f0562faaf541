import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'
import { seededRandom } from '../../seededRandom.ts'
import { runIn } from './runIn.ts'

const folder = mkdtempSync(join(tmpdir(), 'bad-input-'))
afterAll(() => rmSync(folder, { recursive: true }))
const demo = fileURLToPath(new URL('../../../routes-demo/tarn-hollow', import.meta.url))

function file(name: string, content: string | Uint8Array): string {
  const path = join(folder, name)
  writeFileSync(path, content)
  return path
}

const run = runIn(folder)

const gpx = (points: string) =>
  `<?xml version="1.0"?><gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>${points}</trkseg></trk></gpx>`
const point = (lat: number | string, lon: number | string, more = '') =>
  `<trkpt lat="${lat}" lon="${lon}">${more}</trkpt>`
const line = (n: number, more = '') =>
  Array.from({ length: n }, (_, i) => point(60 + i * 1e-4, 20 + i * 1e-4 * Math.sin(i / 9), more)).join('')
const notes = file('notes.txt', 'start 80, 4 left long, 60\n5 right into 3 left, 40\nfinish\n')

const refused: Record<string, { route: string | Uint8Array; name?: string }> = {
  'a truncated file': { route: gpx(line(30)).slice(0, 900) },
  'no points': { route: gpx('') },
  'one point': { route: gpx(point(60, 20)) },
  'points that are no numbers': { route: gpx(point('NaN', 'NaN') + point('x', 'y')) },
  'an entity bomb': {
    route: `<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><gpx>&b;</gpx>`,
  },
  'a picture under the name of a log': { route: Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, 0, 0]) },
  'an empty file': { route: '' },
}

describe('a route that cannot be read', () => {
  it.each(Object.entries(refused))('%s: one sentence that names the file, exit code 1', async (what, { route }) => {
    const path = file(`${what.replaceAll(' ', '-')}.gpx`, route)
    const { code, out, err } = await run('plan', '--notes', notes, '--route', path)
    expect(out).toBe('')
    expect(err).toMatch(/\.\n$/)
    expect(err.trimEnd().split('\n')).toHaveLength(1)
    expect(code).toBe(1)
  })
})

describe('odd input that can be read', () => {
  it('a log without heights gives a road', async () => {
    const { code, out } = await run('road', '--route', file('flat.gpx', gpx(line(60))), '--json')
    expect(code).toBe(0)
    expect(JSON.parse(out).length).toBeGreaterThan(600)
  })

  it('a road without notes is planned with nothing said', async () => {
    const { code, out } = await run('plan', '--route', file('bare.gpx', gpx(line(60))), '--average', '40km/h', '--json')
    expect(code).toBe(0)
    expect(JSON.parse(out).calls).toEqual([])
  })

  it('emoji in notes are kept, spoken round and flagged', async () => {
    const { code, out } = await run('check', '--notes', file('emoji.txt', '4 left 🎉 long, 60\n'), '--json')
    expect(code).toBe(0)
    expect(JSON.parse(out).diagnostics.length).toBeGreaterThan(0)
  })

  it('200 kB of noise are read to their end', { timeout: 60_000 }, async () => {
    const random = seededRandom(5)
    const noise = Array.from({ length: 200_000 }, () => String.fromCharCode(32 + Math.floor(random() * 90))).join('')
    const { code, out } = await run('read', '--notes', file('noise.txt', noise), '--json')
    expect(code).toBe(0)
    expect(JSON.parse(out).calls.length).toBeGreaterThan(0)
  })
})

describe('a call that makes no sense', () => {
  it('neither notes nor a road: exit code 1 and how to mend it', async () => {
    const { code, err } = await run('plan', '--notes', file('empty.txt', ''))
    expect(err).toMatch(/type or paste notes, or add a route file/)
    expect(code).toBe(1)
  })

  it('a target no car can reach: refused with the fastest it can do', async () => {
    const { code, err } = await run('plan', demo, '--average', '140km/h')
    expect(err).toMatch(/the fastest it can do is \d+\.\d km\/h/)
    expect(code).toBe(1)
  })

  it('a target that is no speed: exit code 2', async () => {
    const { code } = await run('plan', demo, '--average', 'quick')
    expect(code).toBe(2)
  })

  it('a folder that is not there: exit code 1', async () => {
    const { code, err } = await run('plan', join(folder, 'nowhere'))
    expect(err).toMatch(/is not a stage folder/)
    expect(code).toBe(1)
  })

  it('a car nobody knows: exit code 2, and it is named', async () => {
    const { code, err } = await run('plan', demo, '--car', 'hovercraft')
    expect(err).toMatch(/hovercraft/)
    expect(code).toBe(2)
  })

  it('a voice nobody has: exit code 1 with one that works', async () => {
    const { code, err } = await run('plan', demo, '--voice', 'nobody')
    expect(err).toMatch(/"nobody" is not known; choose another, for example "en"/)
    expect(code).toBe(1)
  })
})
