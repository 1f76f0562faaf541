/** What the loudness of a take says about its sound, in words. Fed with a report every 20 ms. */
export interface LevelReport {
  readonly rms: number
  readonly peak: number
  readonly clipped: number
  readonly dropped: number
}

const REPORT_SECONDS = (128 * 8) / 48_000
/** Peaks under −70 dB of full scale for this long: nothing is plugged in, or a switch is off. */
const SILENT = 10 ** (-70 / 20)
const SILENT_SECONDS = 5
/** Samples at full scale: more than this share is heard as crackling. */
const CLIPPED_SHARE = 0.0005

export class SoundCheck {
  private reports = 0
  private silent = 0
  private mostSilent = 0
  private clipped = 0
  private dropped = 0
  private droppedBefore = 0
  private loudest = 0

  push(report: LevelReport): void {
    this.reports++
    this.silent = report.peak < SILENT ? this.silent + REPORT_SECONDS : 0
    this.mostSilent = Math.max(this.mostSilent, this.silent)
    this.clipped += report.clipped
    if (this.reports === 1) this.droppedBefore = report.dropped
    this.dropped = report.dropped - this.droppedBefore
    this.loudest = Math.max(this.loudest, report.peak)
  }

  /** Now, while it goes on. */
  nowSilent(): boolean {
    return this.silent > SILENT_SECONDS
  }

  /** Sentences about the whole; empty when nothing was wrong. */
  warnings(device: string): string[] {
    const found: string[] = []
    if (this.mostSilent > SILENT_SECONDS)
      found.push(
        `For ${Math.round(this.mostSilent)} s no sound at all came from "${device}": is it muted, or the wrong one?`,
      )
    if (this.reports > 0 && this.clipped > CLIPPED_SHARE * this.reports * 1024)
      found.push(
        'The sound was clipped: the microphone is too loud or too near. Turn it down; words that crackle are told less well.',
      )
    if (this.dropped > 0)
      found.push(
        `The machine was too busy and ${Math.round(this.dropped)} blocks of sound (2.7 ms each) were lost; times after them may be off.`,
      )
    return found
  }
}

/**
 * Whether the reference voice came in through the microphone: a person is early and late by tenths of a second, a loudspeaker by a constant. `offsets` are
 * starts heard less starts played, seconds. True when six or more lie within 30 ms of their median.
 */
export function voiceLeaks(offsets: readonly number[]): boolean {
  if (offsets.length < 6) return false
  const sorted = [...offsets].sort((a, b) => a - b)
  const middle = sorted[sorted.length >> 1]!
  const near = offsets.filter((offset) => Math.abs(offset - middle) < 0.03).length
  return near >= 6 && near >= 0.7 * offsets.length
}
