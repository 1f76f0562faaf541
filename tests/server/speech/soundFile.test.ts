import { spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { writeSoundFile } from '../../../server/speech/soundFile.ts'
import { writeSoundApart } from '../../../server/speech/writeSoundApart.ts'

const RATE = 22050
const tools = existsSync('/usr/bin/ffprobe') && existsSync('/usr/bin/sox')
const tags = {
  title: 'Tarn – “80”',
  album: 'Say When',
  comment: 'at a desk',
  chapters: [
    { title: '0 to 1 km', from: 0 },
    { title: '1 to 2 km', from: 1.5 },
  ],
}
/** Four seconds of a swelling tone with a sharp top. */
const tone = () => ({
  sampleRate: RATE,
  samples: Int16Array.from({ length: RATE * 4 }, (_, i) => 12000 * Math.sin(i / 6) * Math.sin(i / 9000) ** 2),
})
const folder = mkdtempSync(join(tmpdir(), 'sound-file-'))
afterAll(() => rmSync(folder, { recursive: true }))

describe.each(['wav', 'mp3', 'ogg'] as const)('a run as %s', (format) => {
  const path = join(folder, `run.${format}`)
  let facts: Awaited<ReturnType<typeof writeSoundFile>>
  beforeAll(async () => {
    facts = await writeSoundFile(path, tone(), { format, tags })
  })
  const probe = () =>
    JSON.parse(
      spawnSync('ffprobe', ['-v', 'error', '-show_format', '-show_streams', '-show_chapters', '-of', 'json', path], {
        encoding: 'utf8',
      }).stdout,
    )
  const tagsOf = (one: { format: { tags?: object }; streams: { tags?: object }[] }) => ({
    ...one.streams[0]!.tags,
    ...one.format.tags,
  })

  it.skipIf(!tools)('is read by ffprobe with its title', () => {
    expect(Object.entries(tagsOf(probe())).find(([key]) => key.toLowerCase() === 'title')?.[1]).toBe('Tarn – “80”')
  })
  it.skipIf(!tools)('has its chapters by ffprobe', () => {
    const chapters = probe().chapters as { start_time: string; tags: { title: string } }[]
    expect(chapters.map((one) => [Number(one.start_time).toFixed(2), one.tags.title])).toEqual([
      ['0.00', '0 to 1 km'],
      ['1.50', '1 to 2 km'],
    ])
  })
  // MP3 adds 29…56 ms of padding at this rate, so a tenth of a second is allowed there and none elsewhere.
  it.skipIf(!tools)('lasts as long by ffprobe', () => {
    expect(Math.abs(Number(probe().format.duration) - 4)).toBeLessThan(format === 'mp3' ? 0.1 : 0.001)
  })
  // Debian's sox reads no MP3 without a further package; ffmpeg decodes that one.
  it.skipIf(!tools)('is decoded by another program at the same length', () => {
    const [program, ...args] =
      format === 'mp3'
        ? ['ffmpeg', '-v', 'error', '-i', path, '-f', 's16le', '-']
        : ['sox', path, '-t', 'raw', '-e', 'signed', '-b', '16', '-']
    const { stdout } = spawnSync(program!, args, { maxBuffer: 1 << 24 })
    expect(Math.abs(stdout.length / 2 / RATE - 4)).toBeLessThan(format === 'mp3' ? 0.15 : 0.001)
  })
  // EBU R 128: −23 LUFS ± 1 LU, at most −1 dBTP, as ffmpeg's own meter reads the coded file.
  it.skipIf(!tools)('is at −23 LUFS and under −1 dBTP by another meter', () => {
    const { stderr } = spawnSync('ffmpeg', ['-i', path, '-af', 'ebur128=peak=true', '-f', 'null', '-'], {
      encoding: 'utf8',
    })
    const summary = stderr.slice(stderr.lastIndexOf('Summary:'))
    expect(Math.abs(Number(/I:\s+(-?[\d.]+) LUFS/.exec(summary)![1]) + 23)).toBeLessThan(1)
    expect(Number(/Peak:\s+(-?[\d.]+) dBFS/.exec(summary)![1])).toBeLessThanOrEqual(-1)
  })
  it('tells its own loudness', () => expect(facts.loudness).toBeCloseTo(-23, 1))
})

describe('writing in a thread of its own', () => {
  it('tells how far it is', async () => {
    const seen: number[] = []
    await writeSoundApart(join(folder, 'apart.mp3'), tone(), {
      format: 'mp3',
      tags,
      onProgress: (done, total) => seen.push(done / total),
    })
    expect(seen.at(-1)).toBe(1)
  })
  it('leaves nothing when it is stopped half way', async () => {
    const stop = new AbortController()
    const long = { sampleRate: RATE, samples: new Int16Array(RATE * 200).fill(900) }
    const writing = writeSoundApart(join(folder, 'stopped.mp3'), long, {
      format: 'mp3',
      tags,
      signal: stop.signal,
      onProgress: () => stop.abort(),
    })
    await expect(writing).rejects.toMatchObject({ name: 'AbortError' })
    expect(readdirSync(folder).filter((name) => name.startsWith('stopped'))).toEqual([])
  })
  it('refuses a rate that MP3 does not have', async () => {
    const odd = { sampleRate: 12345, samples: new Int16Array(12345 * 2) }
    await expect(writeSoundApart(join(folder, 'odd.mp3'), odd, { format: 'mp3', tags })).rejects.toThrow(/12345 Hz/)
  })
})
