import type { AudioTime } from '../../server/units.ts'
import type { WorkletMessage, WorkletOrder, WorkletReport } from './hearing.worklet.ts'
import workletUrl from './hearing.worklet.ts?worker&url'

/** Longest wait for a first report, ms. */
const SETTLE_MS = 1000

/** A microphone that cannot be had or is not fit to be used, in words. */
export class MicrophoneProblem extends Error {
  override readonly name = 'MicrophoneProblem'
}

export interface Microphone {
  readonly device: string
  readonly deviceId: string | null
  /** Said once it is open: processing that the browser would not turn off. */
  readonly caution: string | null
  /** Twenty milliseconds of loudness at a time. */
  onLevel: (report: WorkletReport) => void
  /** The track ended by itself: unplugged, or taken away. */
  onGone: () => void
  /** Starts handing sound at 16 kHz to `to`; resolves with the card's time of its first sample. */
  begin(to: MessagePort): Promise<AudioTime>
  end(): void
  /** The next seconds as they come at the card's rate, and the card's time of the first. */
  record(seconds: number): Promise<{ samples: Float32Array; from: AudioTime; rate: number }>
  close(): void
}

/** Microphones there are; names only after the first permission. */
export async function microphones(): Promise<{ id: string; name: string }[]> {
  const devices = (await navigator.mediaDevices?.enumerateDevices()) ?? []
  return devices
    .filter((one) => one.kind === 'audioinput' && one.deviceId !== '')
    .map((one, i) => ({ id: one.deviceId, name: one.label || `microphone ${i + 1}` }))
}

/**
 * Opens a microphone on the sound card the ride is heard on, so that both share one clock. Echo, noise and gain processing are off: they cut word starts, and
 * automatic gain moves starts by 0.3 s (docs/method/reading.md). Rejects with MicrophoneProblem.
 */
export async function openMicrophone(context: AudioContext, deviceId: string | null): Promise<Microphone> {
  if (!navigator.mediaDevices?.getUserMedia) {
    throw new MicrophoneProblem(
      window.isSecureContext
        ? 'This browser offers no microphone to pages. Another browser will.'
        : 'Browsers give a microphone only to pages of this machine or with https. Open Say When on the machine it runs on, at 127.0.0.1.',
    )
  }
  let stream: MediaStream
  try {
    stream = await navigator.mediaDevices.getUserMedia({
      audio: {
        echoCancellation: false,
        noiseSuppression: false,
        autoGainControl: false,
        channelCount: 1,
        ...(deviceId === null ? {} : { deviceId: { exact: deviceId } }),
      },
    })
  } catch (error) {
    throw new MicrophoneProblem(inWords(error as DOMException))
  }
  const track = stream.getAudioTracks()[0]!
  const settings = track.getSettings()
  const stillOn = (
    [
      ['echoCancellation', 'echo cancelling'],
      ['noiseSuppression', 'noise suppression'],
      ['autoGainControl', 'automatic gain'],
    ] as const
  ).flatMap(([key, words]) => (settings[key] === true ? [words] : []))
  await context.audioWorklet.addModule(workletUrl)
  const node = new AudioWorkletNode(context, 'say-when-hearing', {
    numberOfInputs: 1,
    numberOfOutputs: 0,
    channelCount: 1,
  })
  const source = context.createMediaStreamSource(stream)
  source.connect(node)
  const order = (message: WorkletOrder, move: Transferable[] = []) => node.port.postMessage(message, move)
  let began: ((at: AudioTime) => void) | null = null
  let recorded: ((got: { samples: Float32Array; from: AudioTime; rate: number }) => void) | null = null
  const microphone: Microphone = {
    device: track.label || 'microphone',
    deviceId: settings.deviceId ?? deviceId,
    caution:
      stillOn.length > 0
        ? `The browser keeps ${stillOn.join(' and ')} on for this microphone; starts of calls are told less exactly.`
        : null,
    onLevel: () => {},
    onGone: () => {},
    begin(to) {
      return new Promise((resolve) => {
        began = resolve
        order({ type: 'begin', to }, [to])
      })
    },
    end: () => order({ type: 'end' }),
    record(seconds) {
      return new Promise((resolve) => {
        recorded = resolve
        order({ type: 'raw', seconds })
      })
    },
    close() {
      track.onended = null
      for (const one of stream.getTracks()) one.stop()
      source.disconnect()
      node.port.onmessage = null
    },
  }
  // The first report comes once the sound runs on the worklet's own thread; before that blocks may be skipped. A card that stands still sends none.
  let settle = () => {}
  const settled = new Promise<void>((resolve) => {
    settle = resolve
    setTimeout(resolve, SETTLE_MS)
  })
  node.port.onmessage = ({ data }: MessageEvent<WorkletMessage>) => {
    if (data.type === 'level') {
      settle()
      microphone.onLevel(data)
    } else if (data.type === 'began') began?.((data.frame / context.sampleRate) as AudioTime)
    else
      recorded?.({
        samples: data.samples,
        from: (data.frame / context.sampleRate) as AudioTime,
        rate: context.sampleRate,
      })
  }
  track.onended = () => microphone.onGone()
  await settled
  return microphone
}

function inWords(error: DOMException): string {
  switch (error.name) {
    case 'NotAllowedError':
    case 'SecurityError':
      return 'The microphone was refused. Allow it for this page in the browser, beside its address, then try again. What it hears stays on this machine.'
    case 'NotFoundError':
      return 'No microphone is plugged in. Plug one in, or a headset, then try again.'
    case 'OverconstrainedError':
      return 'The microphone chosen before is not there any more. Choose another.'
    case 'NotReadableError':
    case 'AbortError':
      return 'The microphone is held by another program, or does not answer. Close what uses it, then try again.'
    default:
      return `The microphone could not be opened (${error.message || error.name}). Choose another, or plug it in again.`
  }
}
