import { spawnSync } from 'node:child_process'
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { zipSync } from 'fflate'
import { afterAll, describe, expect, it } from 'vitest'
import { openBundle } from '../../../server/library/openBundle.ts'
import { StageLibrary } from '../../../server/library/stageLibrary.ts'
import { writeBundle } from '../../../server/library/writeBundle.ts'

const root = mkdtempSync(join(tmpdir(), 'bundle-'))
afterAll(() => rmSync(root, { recursive: true }))
let next = 0
const fresh = (name: string) => join(root, `${name}-${next++}`)

const stage = fresh('stage')
mkdirSync(join(stage, 'takes'), { recursive: true })
writeFileSync(join(stage, 'stage.json'), '{"title":"A – “b”","own":{"kept":1}}')
writeFileSync(join(stage, 'notes.txt'), Uint8Array.of(0xef, 0xbb, 0xbf, 0x36, 0x0d, 0x0a, 0xff))
writeFileSync(join(stage, '.route-name'), 'my road.gpx')
writeFileSync(join(stage, 'route-2.gpx'), '<gpx/>')
writeFileSync(join(stage, 'takes', '1-a.wav'), 'sound')

async function bundled(takes = false): Promise<string> {
  const zip = `${fresh('bundle')}.zip`
  await writeFile(zip, writeBundle(stage, { takes, madeAt: 1_900_000_000 }))
  return zip
}
function zipped(files: Record<string, Uint8Array>): string {
  const zip = `${fresh('hostile')}.zip`
  writeFileSync(zip, zipSync(files, { level: 9 }))
  return zip
}
const text = (value: string) => new TextEncoder().encode(value)

describe('a bundle', () => {
  it('comes back byte for byte', async () => {
    const folder = fresh('opened')
    await openBundle(await bundled(true), folder)
    for (const name of ['stage.json', 'notes.txt', '.route-name', 'route-2.gpx', 'takes/1-a.wav'])
      expect(readFileSync(join(folder, name))).toEqual(readFileSync(join(stage, name)))
  })
  it('leaves takes out unless they are asked for', async () => {
    const folder = fresh('opened')
    await openBundle(await bundled(false), folder)
    expect(existsSync(join(folder, 'takes'))).toBe(false)
  })
  it.skipIf(!existsSync('/usr/bin/unzip'))('is found whole by another zip tool', async () => {
    expect(spawnSync('unzip', ['-tq', await bundled(true)], { encoding: 'utf8' }).stdout).toMatch(/^No errors detected/)
  })
  it('opens in a library beside the stage it came from', async () => {
    const library = new StageLibrary(fresh('library'), () => 1_900_000_000)
    const ids = [await library.openBundle(await bundled()), await library.openBundle(await bundled())].map(
      ({ id }) => id,
    )
    expect(new Set(ids).size).toBe(2)
    expect(ids.map((id) => library.read(id).settings.own)).toEqual([{ kept: 1 }, { kept: 1 }])
    library.close()
  })
  it('does not open over a folder that is there', async () => {
    const folder = fresh('there')
    mkdirSync(folder)
    writeFileSync(join(folder, 'notes.txt'), 'mine')
    await expect(openBundle(await bundled(), folder)).rejects.toThrow()
    expect(readFileSync(join(folder, 'notes.txt'), 'utf8')).toBe('mine')
  })
  it('of the first layout, a folder zipped by hand, opens too', async () => {
    const folder = fresh('opened')
    await openBundle(zipped({ 'my stage/notes.txt': text('6 left'), 'my stage/stage.json': text('{}') }), folder)
    expect(readdirSync(folder).sort()).toEqual(['notes.txt', 'stage.json'])
  })
  it('tells what no stage holds', async () => {
    const zip = zipped({ 'notes.txt': text('6 left'), 'run.exe': text('no') })
    expect(await openBundle(zip, fresh('opened'))).toEqual({ leftOut: ['run.exe'] })
  })
})

/** A link in a zip, as another tool stores it. */
function withLink(): string {
  const folder = fresh('link')
  mkdirSync(folder)
  symlinkSync('/etc/passwd', join(folder, 'notes.txt'))
  const zip = `${folder}.zip`
  spawnSync('zip', ['-q', '--symlinks', zip, 'notes.txt'], { cwd: folder })
  return zip
}

describe('a hostile bundle', () => {
  it.each([
    [
      'a name that climbs out',
      () => zipped({ '../notes.txt': text('x'), 'notes.txt': text('y') }),
      /not opened: .*\.\./,
    ],
    ['an absolute name', () => zipped({ '/notes.txt': text('x') }), /not opened: .*absolute/],
    ['a drive letter', () => zipped({ 'C:/notes.txt': text('x') }), /not opened: .*absolute/],
    ['a bomb', () => zipped({ 'notes.txt': new Uint8Array(40_000_000) }), /unpacks to 40000000 bytes/],
    ['no stage at all', () => zipped({ 'holiday.txt': text('x') }), /holds no stage/],
    [
      'a newer layout',
      () => zipped({ 'bundle.json': text('{"sayWhen":99}'), 'notes.txt': text('x') }),
      /newer Say When/,
    ],
    ['a damaged manifest', () => zipped({ 'bundle.json': text('{'), 'notes.txt': text('x') }), /manifest is damaged/],
  ])('with %s is refused and leaves nothing', async (_what, make, message) => {
    const folder = fresh('refused')
    await expect(openBundle(make(), folder)).rejects.toThrow(message)
    expect([existsSync(folder), existsSync(`${folder}.opening`)]).toEqual([false, false])
  })
  it.skipIf(!existsSync('/usr/bin/zip'))('with a link is refused', async () => {
    await expect(openBundle(withLink(), fresh('refused'))).rejects.toThrow(/"notes\.txt" is a link/)
  })
  it('that is cut off is refused', async () => {
    const whole = readFileSync(await bundled(true))
    const zip = `${fresh('cut')}.zip`
    writeFileSync(zip, whole.subarray(0, whole.length - 30))
    await expect(openBundle(zip, fresh('refused'))).rejects.toThrow(/not opened/)
  })
  it('whose sizes lie is refused', async () => {
    const whole = Buffer.from(zipSync({ 'notes.txt': new Uint8Array(5000).fill(65) }, { level: 9 }))
    const central = whole.lastIndexOf(Buffer.from('PK\u0001\u0002', 'latin1'))
    whole.writeUInt32LE(10, central + 24)
    const zip = `${fresh('lying')}.zip`
    writeFileSync(zip, whole)
    await expect(openBundle(zip, fresh('refused'))).rejects.toThrow(/not opened/)
  })
})
