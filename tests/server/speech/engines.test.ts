import { mkdtemp, readdir, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { ClipStore } from '../../../server/speech/clipStore.ts'
import { writeEncoded } from '../../../server/speech/encode.ts'
import { ENGINES } from '../../../server/speech/engines.ts'
import { openSilentEngine } from '../../../server/speech/silentEngine.ts'
import { openSystemEngine } from '../../../server/speech/systemEngine.ts'

const request = { words: ['six', 'left', 'over', 'crest'], voice: 'en', rate: 200, pitch: 50 }

/** What every engine that makes clips keeps to. */
describe.each(['embedded', 'silent'])('the %s engine', (name) => {
  const opened = ENGINES[name]!()
  afterAll(async () => (await opened).close())

  it('ends each word in order', async () => {
    const { wordEnds } = await (await opened).speak(request)
    expect(wordEnds).toEqual([...wordEnds].sort((a, b) => a - b))
  })
  it('gives one end a word', async () => expect((await (await opened).speak(request)).wordEnds).toHaveLength(4))
  it('ends the last word with the clip', async () => {
    const { wordEnds, samples, sampleRate } = await (await opened).speak(request)
    expect(wordEnds.at(-1)).toBeCloseTo(samples.length / sampleRate, 6)
  })
  it('refuses a call without words', async () => {
    await expect((await opened).speak({ ...request, words: [] })).rejects.toMatchObject({ name: 'SpeechError' })
  })
  it('is quicker at a higher rate', async () => {
    const [slow, quick] = [
      await (await opened).speak({ ...request, rate: 120 }),
      await (await opened).speak({ ...request, rate: 300 }),
    ]
    expect(quick.samples.length).toBeLessThan(slow.samples.length)
  })
})

describe('the embedded engine', () => {
  const opened = ENGINES.embedded!()
  afterAll(async () => (await opened).close())
  it('refuses an unknown voice instead of keeping the one before', async () => {
    await expect((await opened).speak({ ...request, voice: 'no-such-voice' })).rejects.toMatchObject({
      name: 'SpeechError',
    })
  })
  it('refuses a rate it would silently clamp', async () => {
    await expect((await opened).speak({ ...request, rate: 500 })).rejects.toMatchObject({ name: 'SpeechError' })
  })
})

describe('the system engine', () => {
  it('hands the voice no character that could end its string', async () => {
    const heard: string[] = []
    const engine = openSystemEngine(() => ({
      speak: (text, _voice, _speed, done) => {
        heard.push(text)
        done?.()
      },
    }))
    await engine.sayNow!({ ...request, words: ['hi") (system "touch /tmp/x") ("', 'x\\") (exit 42)'] })
    expect(heard[0]).toMatch(/^[\p{L}\p{N} .,'-]+$/u)
  })
  it('makes one clear error of a missing voice', async () => {
    const engine = openSystemEngine(() => ({
      speak: (_text, _voice, _speed, done) => done?.(new Error('spawn festival ENOENT')),
    }))
    await expect(engine.sayNow!(request)).rejects.toThrow(/no working system voice/)
  })
})

describe('kept clips', () => {
  it('make a damaged file again', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'clips-'))
    const first = await new ClipStore(openSilentEngine(), folder).speak(request)
    await writeFile(join(folder, `${first.hash}.wav`), 'torn')
    const again = await new ClipStore(openSilentEngine(), folder).speak(request)
    expect(again.clip.samples.length).toBe(first.clip.samples.length)
    await rm(folder, { recursive: true })
  })
  it.each([
    ['mp3', [0xff]],
    ['ogg', [0x4f, 0x67, 0x67, 0x53]],
  ] as const)('are written as %s, whole, with nothing left over', async (format, head) => {
    const folder = await mkdtemp(join(tmpdir(), 'sound-'))
    await writeEncoded(join(folder, 'run'), { sampleRate: 22050, samples: new Int16Array(22050) }, format)
    const { readFile } = await import('node:fs/promises')
    const bytes = await readFile(join(folder, 'run'))
    expect([...bytes.subarray(0, head.length)]).toEqual([...head])
    expect(await readdir(folder)).toEqual(['run'])
    await rm(folder, { recursive: true })
  })
})
