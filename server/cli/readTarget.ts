import type { Target } from '../speed/speed.ts'
import { fromKmh, fromMph, type MetresPerSecond, type Seconds } from '../units.ts'

/** The way the program was called is at fault (exit code 2): one line of what and how to mend. */
export class CallFault extends Error {
  override readonly name = 'CallFault'
}

const SPEED = /^(\d+(?:\.\d+)?)\s*(km\/h|kmh|kph|mph|m\/s)$/i

/** "92km/h", "57mph" or "25.5m/s" in metres per second. Throws CallFault. */
export function readSpeed(text: string, option: string): MetresPerSecond {
  const match = SPEED.exec(text.trim())
  const value = Number(match?.[1])
  if (!match || !(value > 0))
    throw new CallFault(`${option} "${text}" is not a speed; write it with its unit, as 92km/h, 57mph or 25.5m/s.`)
  const unit = match[2]!.toLowerCase()
  return unit === 'mph' ? fromMph(value) : unit === 'm/s' ? value : fromKmh(value)
}

/** "6:40.0" or "400" in seconds. Throws CallFault. */
export function readStageTime(text: string): Seconds {
  const match = /^(?:(\d+):)?(\d+(?:\.\d+)?)$/.exec(text.trim())
  const seconds = match ? Number(match[1] ?? 0) * 60 + Number(match[2]) : Number.NaN
  if (!(seconds > 0)) throw new CallFault(`--time "${text}" is not a stage time; write minutes and seconds, as 6:40.0.`)
  return seconds
}

/** The target of a run from `--average` or `--time`; null when neither is given. Throws CallFault when both are. */
export function readTarget(options: { average?: string | undefined; time?: string | undefined }): Target | null {
  if (options.average !== undefined && options.time !== undefined)
    throw new CallFault('Give --average or --time, not both.')
  if (options.average !== undefined) return { kind: 'average', speed: readSpeed(options.average, '--average') }
  if (options.time !== undefined) return { kind: 'time', time: readStageTime(options.time) }
  return null
}

/** A number within [least, most], or CallFault naming the option. */
export function readNumber(text: string, option: string, least: number, most: number): number {
  const value = Number(text)
  if (text.trim() === '' || !(value >= least && value <= most))
    throw new CallFault(`${option} "${text}" must be a number from ${least} to ${most}.`)
  return value
}

/** "60..130km/h": a sweep's ends in metres per second, the first below the second. Throws CallFault. */
export function readSweep(text: string): { from: MetresPerSecond; to: MetresPerSecond } {
  const match = /^(\d+(?:\.\d+)?)\s*\.\.\s*(.+)$/.exec(text.trim())
  const unit = match && /[a-z/]+$/i.exec(match[2]!.trim())?.[0]
  if (!match || !unit) throw new CallFault(`--sweep "${text}" is not a range of speeds; write it as 70..120km/h.`)
  const from = readSpeed(match[1]! + unit, '--sweep')
  const to = readSpeed(match[2]!, '--sweep')
  if (!(from < to)) throw new CallFault(`--sweep "${text}" runs backwards; put the lower speed first.`)
  return { from, to }
}
