import { describe, expect, it } from 'vitest'
import { kWeighting, loudness, normalise, truePeak } from '../../server/speech/loudness.ts'

const sine = (sampleRate: number, hertz: number, level: number, seconds = 5, phase = 0) =>
  Int16Array.from({ length: sampleRate * seconds }, (_, i) =>
    Math.round(32767 * level * Math.sin((2 * Math.PI * hertz * i) / sampleRate + phase)),
  )

describe('ITU-R BS.1770', () => {
  // Tables 1 and 2 of ITU-R BS.1770, 48 kHz (digits from memory).
  it('gives the printed shelf at 48 kHz', () => {
    const { b, a } = kWeighting(48000)[0]
    const printed = [1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585]
    for (const [i, value] of [...b, ...a].entries()) expect(value).toBeCloseTo(printed[i]!, 9)
  })
  it('gives the printed high pass at 48 kHz', () => {
    const { a } = kWeighting(48000)[1]
    expect(a[0]).toBeCloseTo(-1.99004745483398, 9)
    expect(a[1]).toBeCloseTo(0.99007225036621, 9)
  })
  // "A 997 Hz sine at 0 dBFS in one channel reads −3.01 LKFS" (BS.1770).
  it.each([48000, 44100, 22050])('reads −3.01 LKFS for a full 997 Hz sine at %i Hz', (rate) => {
    expect(Math.abs(loudness(sine(rate, 997, 1), rate) + 3.01)).toBeLessThan(0.03)
  })
  it('leaves long silence out by the gate', () => {
    const tone = sine(48000, 997, 0.1)
    const padded = new Int16Array(tone.length * 4)
    padded.set(tone)
    expect(Math.abs(loudness(padded, 48000) - loudness(tone, 48000))).toBeLessThan(0.35)
  })
  it('finds the peak between samples of a quarter-rate sine at 45°', () => {
    expect(Math.abs(truePeak(sine(48000, 12000, 0.5, 1, Math.PI / 4)) + 6.02)).toBeLessThan(0.3)
  })
})

// EBU R 128: −23 LUFS ± 1 LU, at most −1 dBTP.
describe('EBU R 128', () => {
  it('brings a loud tone to −23 LUFS', () => {
    expect(loudness(normalise(sine(22050, 997, 0.9), 22050), 22050)).toBeCloseTo(-23, 1)
  })
  it('stops at −1 dBTP rather than reach the loudness', () => {
    const clicks = sine(22050, 997, 0.001)
    for (let i = 0; i < clicks.length; i += 11025) clicks[i] = 20000
    expect(truePeak(normalise(clicks, 22050, { target: -5 }))).toBeLessThanOrEqual(-0.99)
  })
  it('leaves silence alone', () => {
    expect(normalise(new Int16Array(44100), 22050)).toEqual(new Int16Array(44100))
  })
})
