/** Quantities as a crew reads them: SI inside, their units on the screen, every number with its unit. */
export type Units = 'metric' | 'miles'

const MILE = 1609.344

export const speedInWords = (speed: number, units: Units, digits = 1): string =>
  units === 'miles' ? `${((speed * 3600) / MILE).toFixed(digits)} mph` : `${(speed * 3.6).toFixed(digits)} km/h`

export const lengthInWords = (metres: number, units: Units): string =>
  units === 'miles' ? `${(metres / MILE).toFixed(2)} mi` : `${(metres / 1000).toFixed(2)} km`

/** m:ss.s; a minus before the start. */
export function clockInWords(seconds: number): string {
  const tenths = Math.round(Math.abs(seconds) * 10)
  return `${seconds < 0 && tenths > 0 ? '−' : ''}${Math.floor(tenths / 600)}:${((tenths % 600) / 10).toFixed(1).padStart(4, '0')}`
}

/** "one", "two" … in a sentence, digits from ten. */
export const countInWords = (n: number): string =>
  ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'][n] ?? String(n)
