import { describe, expect, it } from 'vitest'
import { writeWav } from '../../../server/speech/wav.ts'
import { demoServer } from './demoServer.ts'

const { api, post, stage } = demoServer('voices-')
const tone = new Blob([
  new Uint8Array(
    writeWav({
      sampleRate: 22050,
      samples: Int16Array.from({ length: 22050 }, (_, i) => (i > 6000 && i < 15000 ? 9000 * Math.sin(i / 8) : 0)),
    }),
  ),
])

describe('voices over HTTP', () => {
  it('lists what a stage says, most used first, its shares adding up to all of it', async () => {
    const { words } = (await (await api(`/stages/${stage()}/voice-words`)).json()) as {
      words: { uses: number; adds: number }[]
    }
    const uses = words.map((one) => one.uses)
    expect(uses).toEqual([...uses].sort((a, b) => b - a))
    expect(words.reduce((sum, one) => sum + one.adds, 0)).toBeCloseTo(1, 9)
  })
  it('keeps a recording and tells that it is there', async () => {
    expect((await api('/voices/own/left', { method: 'PUT', body: tone })).status).toBe(200)
    expect((await (await api('/voices')).json()).own).toEqual(['left'])
  })
  it('says why a recording will not do', async () => {
    const response = await api('/voices/own/right', { method: 'PUT', body: new Uint8Array(500) })
    expect([response.status, (await response.json()).detail]).toEqual([
      503,
      expect.stringMatching(/no RIFF\/WAVE sound/),
    ])
  })
  it('plans a stage anew when a recording changes', async () => {
    await api(`/stages/${stage()}`, {
      method: 'PATCH',
      headers: { 'content-type': 'application/json' },
      body: '{"settings":{"voice":"own:en"}}',
    })
    const clips = async () => {
      const text = await (await api(`/stages/${stage()}/cues/json`)).text()
      return JSON.parse(text).plan.calls.map((call: { clip: string }) => call.clip)
    }
    // The silent engine has no sound to stand in with, so every word of the stage is recorded first.
    const { words } = (await (await api(`/stages/${stage()}/voice-words`)).json()) as { words: { words: string }[] }
    for (const { words: word } of words)
      await api(`/voices/own/${encodeURIComponent(word)}`, { method: 'PUT', body: tone })
    const before = await clips()
    await api('/voices/own/one%20hundred', { method: 'PUT', body: tone })
    expect(await clips()).not.toEqual(before)
  })
  it('says a text by the crew’s own list at once', async () => {
    const heard = await post('/voices/hear', { text: 'Hp left', voice: 'en', sayAs: [{ write: 'hp', say: 'hairpin' }] })
    expect((await heard.json()).said).toBe('hairpin left')
  })
})
