import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { openExternalEngine } from '../../../server/speech/externalEngine.ts'
import { phrase } from '../../../server/speech/phrase.ts'
import { pronounce } from '../../../server/speech/pronounce.ts'
import { openSilentEngine } from '../../../server/speech/silentEngine.ts'
import { openSystemEngine, safeText } from '../../../server/speech/systemEngine.ts'
import { VoiceFolder } from '../../../server/speech/voiceFolder.ts'
import { openVoices } from '../../../server/speech/voices.ts'

const folder = mkdtempSync(join(tmpdir(), 'external-'))
afterAll(() => rmSync(folder, { recursive: true }))
const request = { words: ['six', 'left', 'over', 'crest'], voice: 'external:test', rate: 200, pitch: 50 }

/** A speech program made of Node: reads its text, does as `body` says. */
function program(body: string, patience?: number) {
  const script = `let text='';process.stdin.on('data',(d)=>{text+=d}).on('end',()=>{${WAV};${body}})`
  return openExternalEngine({ id: 'test', name: 'test', command: [process.execPath, '-e', script, '{rate}'] }, patience)
}
const WAV = `const wav=(rate,seconds)=>{const n=Math.round(rate*seconds),b=Buffer.alloc(44+2*n);b.write('RIFF');b.writeUInt32LE(36+2*n,4);b.write('WAVEfmt ',8);b.writeUInt32LE(16,16);b.writeUInt16LE(1,20);b.writeUInt16LE(1,22);b.writeUInt32LE(rate,24);b.writeUInt32LE(rate*2,28);b.writeUInt16LE(2,32);b.writeUInt16LE(16,34);b.write('data',36);b.writeUInt32LE(2*n,40);for(let i=0;i<n;i++)b.writeInt16LE(Math.round(8000*Math.sin(i/5)),44+2*i);return b}`

describe('an external speech program', () => {
  it('gives a clip with estimated word ends', async () => {
    const clip = await program('process.stdout.write(wav(16000,1.2))').speak(request)
    expect([clip.sampleRate, clip.timing, clip.wordEnds.length]).toEqual([16000, 'estimated', 4])
  })
  it.each([
    ['noise instead of sound', 'process.stdout.write(Buffer.alloc(5000,7))', /no RIFF\/WAVE sound/],
    ['nothing', '', /0 bytes that are no sound/],
    ['silence', 'process.stdout.write(wav(16000,1).fill(0,44))', /gave silence/],
    ['a rate no voice has', 'process.stdout.write(wav(2000,1))', /2000 Hz, outside/],
    [
      'a rate that makes words absurdly short',
      'process.stdout.write(wav(48000,0.1))',
      /no speech at the rate it states/,
    ],
    ['a failure', 'process.stderr.write("no model");process.exitCode=3', /exit 3: no model/],
  ])('is refused with %s', async (_what, body, message) => {
    await expect(program(body).speak(request)).rejects.toThrow(message)
  })
  it('that hangs is ended', async () => {
    await expect(program('setInterval(()=>{},1000)', 400).speak(request)).rejects.toThrow(/did not finish in 0\.4 s/)
  })
  it('that changes its rate between calls is refused', async () => {
    const engine = program('process.stdout.write(wav(text.startsWith("six")?16000:22050,1.2))')
    await engine.speak(request)
    await expect(engine.speak({ ...request, words: ['three', 'right'] })).rejects.toThrow(/22050 Hz after 16000 Hz/)
  })
  it('that is not there is one sentence', async () => {
    const engine = openExternalEngine({ id: 'x', name: 'mine', command: ['/no/such/program'] })
    await expect(engine.speak(request)).rejects.toThrow(/"mine" is not there/)
  })
  it('may write a file instead', async () => {
    const script = `${WAV};require('fs').writeFileSync(process.argv[1],wav(24000,1))`
    const engine = openExternalEngine({ id: 'x', name: 'x', command: [process.execPath, '-e', script, '{out}'] })
    expect((await engine.speak(request)).sampleRate).toBe(24000)
  })
  it.skipIf(!existsSync('/usr/bin/espeak-ng'))(
    'may be espeak-ng, which writes to a pipe without a length',
    async () => {
      const command = ['/usr/bin/espeak-ng', '--stdin', '--stdout', '-s', '{rate}']
      const clip = await openExternalEngine({ id: 'e', name: 'e', command }).speak(request)
      expect(clip.samples.length / clip.sampleRate).toBeGreaterThan(0.6)
    },
  )
})

/** Quotes, semicolons, brackets, shell, Scheme and markup, control characters. */
const HOSTILE = [
  'left"; touch MARK; echo "',
  "right'; touch MARK; '",
  '$(touch MARK) `touch MARK`',
  'hi") (system "touch MARK") ("',
  'x\\") (exit 42) (quote \\"',
  '<break time="9999s"/> & <audio src="file:///etc/passwd"/>',
  'six\u0000left\u0007\u001b[2J\u2028\r\n.\n--version',
  '%s%n {out} ${HOME} *?[a]',
]

describe('text that tries to command a voice', () => {
  const mark = join(folder, 'mark')
  const hostile = HOSTILE.map((text) => text.replace(/MARK/g, mark))
  it.each(HOSTILE)('is words and nothing else once phrased: %j', (text) => {
    for (const word of phrase(text)) expect(word).toMatch(/^[\p{L}\p{M}'-]+$/u)
  })
  it.each(HOSTILE)('is words and nothing else through a pronunciation list: %j', (text) => {
    for (const word of phrase(pronounce('say Hp now', [{ write: 'Hp', say: text }])))
      expect(word).toMatch(/^[\p{L}\p{M}'-]+$/u)
  })
  it('reaches an external program on its input only, even unphrased', async () => {
    const script = `${WAV};let t='';process.stdin.on('data',(d)=>{t+=d}).on('end',()=>{process.stdout.write(process.argv.length===2?wav(16000,2):'no')})`
    const engine = openExternalEngine({ id: 'x', name: 'x', command: [process.execPath, '-e', script, '{rate}'] })
    for (const text of hostile) await engine.speak({ ...request, words: [text, 'left', 'six', 'over'] })
    expect(existsSync(mark)).toBe(false)
  })
  it('is harmless to the embedded voice', async () => {
    const { openEmbeddedEngine } = await import('../../../server/speech/embeddedEngine.ts')
    const engine = openEmbeddedEngine()
    for (const text of hostile) {
      const clip = await engine.speak({ ...request, voice: 'en', words: phrase(text) })
      expect(clip.samples.length / clip.sampleRate).toBeLessThan(40)
    }
    await engine.close()
    expect(existsSync(mark)).toBe(false)
  })
  it.each(HOSTILE)('reaches the system voice without a character that ends a string: %j', (text) =>
    expect(safeText(text)).toMatch(/^[\p{L}\p{N} .,'-]*$/u),
  )
  it.skipIf(!existsSync('/usr/bin/festival'))('does not run through a real Scheme interpreter', async () => {
    const engine = openSystemEngine()
    for (const text of hostile) await engine.sayNow!({ ...request, words: [text] }).catch(() => {})
    expect(existsSync(mark)).toBe(false)
  })
})

describe('voices by name', () => {
  const voices = new VoiceFolder(join(folder, 'voices'))
  const engine = openVoices(openSilentEngine(), voices)
  it('say which external voice is not there', async () => {
    await expect(engine.speak({ ...request, voice: 'external:none' })).rejects.toThrow(/no external voice "none"/)
  })
  it('say what is wrong in external.json', async () => {
    const broken = mkdtempSync(join(folder, 'broken-'))
    writeFileSync(join(broken, 'external.json'), '[{"id":"x","name":"x","command":"rm -rf"}]')
    expect(() => new VoiceFolder(broken).external()).toThrow(/cannot be used/)
  })
  it('take any other name for the embedded engine', async () =>
    expect((await engine.speak({ ...request, voice: 'en' })).timing).toBe('estimated'))
})

describe('the pronunciation list', () => {
  it.each([
    ['Hp left', 'hairpin left'],
    ['hp, then HP', 'hairpin, then hairpin'],
    ['Hps stay', 'Hps stay'],
    ['k right and kp', 'kay right and keep in'],
  ])('says %j as %j', (text, said) => {
    const list = [
      { write: 'Hp', say: 'hairpin' },
      { write: 'k', say: 'kay' },
      { write: 'kp', say: 'keep in' },
    ]
    expect(pronounce(text, list)).toBe(said)
  })
  it('takes the longer row first and changes nothing twice', () =>
    expect(
      pronounce('a b', [
        { write: 'a', say: 'b' },
        { write: 'a b', say: 'a' },
      ]),
    ).toBe('a'))
})
