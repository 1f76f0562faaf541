/** "about 83 %", whole percents: more digits would pretend to more than a forecast has. */
export const percent = (share: number): string => `${Math.round(share * 100)} %`

export const minutesInWords = (seconds: number): string => {
  const minutes = Math.round(seconds / 60)
  return seconds > 0 && minutes === 0 ? 'under a minute' : minutes === 1 ? '1 minute' : `${minutes} minutes`
}

/** "Sat 13 June" of YYYY-MM-DD. */
export const dayInWords = (date: string): string =>
  new Date(`${date}T12:00Z`).toLocaleDateString('en-GB', {
    weekday: 'short',
    day: 'numeric',
    month: 'long',
    timeZone: 'UTC',
  })

/** How well a place is known, as a number from 0 (not met) to 4, with its meaning. */
export const BANDS = ['not met yet', 'hardly', 'half', 'mostly', 'well'] as const

export function bandOf(known: number, met: number): 0 | 1 | 2 | 3 | 4 {
  if (met === 0) return 0
  if (known < 0.4) return 1
  if (known < 0.7) return 2
  return known < 0.9 ? 3 : 4
}
