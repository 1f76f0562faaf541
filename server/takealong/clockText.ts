import type { Seconds } from '../units.ts'

/** m:ss.s, as stage times are written; a minus before the start. */
export function clockText(seconds: Seconds): string {
  const tenths = Math.round(Math.abs(seconds) * 10)
  return `${seconds < 0 && tenths > 0 ? '−' : ''}${Math.floor(tenths / 600)}:${((tenths % 600) / 10).toFixed(1).padStart(4, '0')}`
}
