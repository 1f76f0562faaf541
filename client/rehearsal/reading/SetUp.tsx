import { useEffect, useState } from 'react'
import { cabinNoise } from '../../microphone/cabin.ts'
import { microphones } from '../../microphone/microphone.ts'
import { CHIRP_EVERY, chirps, chirpTimes, roomInWords, roundTripOf } from '../../microphone/roundTrip.ts'
import type { WebSoundCard } from '../../playback/soundCard.ts'
import type { ReadingSession } from './session.ts'

const ROOM_SECONDS = 2
const CABIN_SECONDS = 20

/** Microphone, level, and the one-minute set-up that says in words what it found. */
export function SetUp({ session, card }: { session: ReadingSession; card: WebSoundCard }) {
  const [devices, setDevices] = useState<{ id: string; name: string }[]>([])
  const [found, setFound] = useState<string[]>([])
  const [busy, setBusy] = useState(false)
  const open = session.microphone !== null
  // biome-ignore lint/correctness/useExhaustiveDependencies: names of microphones come with the permission
  useEffect(() => {
    void microphones().then(setDevices)
  }, [open])
  const measure = async () => {
    const { microphone } = session
    if (microphone === null) return
    setBusy(true)
    setFound(['Be silent for two seconds …'])
    const room = roomInWords((await microphone.record(ROOM_SECONDS)).samples)
    setFound([room, 'Eight chirps: with headphones hold one cup to the microphone …'])
    const { context } = card
    const sound = chirps(context.sampleRate)
    const source = context.createBufferSource()
    source.buffer = context.createBuffer(1, sound.length, context.sampleRate)
    source.buffer.copyToChannel(sound as Float32Array<ArrayBuffer>, 0)
    source.connect(context.destination)
    const seconds = (chirpTimes().length + 1) * CHIRP_EVERY + 0.4
    const recording = microphone.record(seconds)
    const played = context.currentTime + 0.15
    source.start(played)
    const { samples, from, rate } = await recording
    const trip = roundTripOf(samples.subarray(Math.max(0, Math.round((played - from) * rate))), rate)
    session.roundTrip = trip.seconds
    setFound([room, trip.words])
    setBusy(false)
  }
  const level = session.level
  const decibel = level ? Math.max(-60, 20 * Math.log10(level.peak + 1e-6)) : -60
  return (
    <section className="setup stack" aria-label="Microphone">
      <div className="row">
        {!open && (
          <button type="button" onClick={() => void session.open(null)} disabled={session.status === 'opening'}>
            {session.status === 'opening' ? 'opening …' : 'use the microphone'}
          </button>
        )}
        {open && devices.length > 0 && (
          <label>
            microphone{' '}
            <select
              value={session.microphone?.deviceId ?? ''}
              onChange={(event) => void session.open(event.target.value)}
              disabled={session.status === 'reading'}
            >
              {devices.map((one) => (
                <option key={one.id} value={one.id}>
                  {one.name}
                </option>
              ))}
            </select>
          </label>
        )}
        {open && (
          <>
            <span className="meter" role="img" aria-label={`level ${Math.round(decibel)} dB of full scale`}>
              <i
                style={{ width: `${((decibel + 60) / 60) * 100}%` }}
                className={level && level.clipped > 0 ? 'clipped' : ''}
              />
            </span>
            <span className="small soft">
              {level && level.clipped > 0
                ? 'too loud'
                : level?.speaking
                  ? 'speech'
                  : decibel <= -59
                    ? 'no sound'
                    : 'listening'}
            </span>
            <button type="button" onClick={() => void measure()} disabled={busy || session.status === 'reading'}>
              measure delay and room
            </button>
            <CabinSwitch card={card} />
          </>
        )}
      </div>
      {!open && (
        <p className="small soft">
          A take needs the microphone. What it hears stays on this machine. Echo cancelling, noise suppression and
          automatic gain are kept off: they cut the starts of words. Headphones keep the voice out of the microphone.
        </p>
      )}
      {found.length > 0 && <p role="status">{found.join(' ')}</p>}
      {session.caution && <p className="small">{session.caution}</p>}
    </section>
  )
}

/** Cabin noise to practise against, in both ears. */
function CabinSwitch({ card }: { card: WebSoundCard }) {
  const [playing, setPlaying] = useState<AudioBufferSourceNode | null>(null)
  useEffect(() => () => playing?.stop(), [playing])
  const turn = () => {
    if (playing) return setPlaying(null)
    const { context } = card
    const noise = cabinNoise(CABIN_SECONDS, context.sampleRate, Math.random)
    const source = context.createBufferSource()
    source.buffer = context.createBuffer(1, noise.length, context.sampleRate)
    source.buffer.copyToChannel(noise as Float32Array<ArrayBuffer>, 0)
    source.loop = true
    source.connect(context.destination)
    source.start()
    setPlaying(source)
  }
  return (
    <button type="button" aria-pressed={playing !== null} onClick={turn}>
      cabin noise
    </button>
  )
}
