import type { Builder } from './buildElement.ts'
import { CLASS, CLASSES } from './classes.ts'
import type { Diagnostic } from './notes.ts'
import type { Reader } from './readPath.ts'
import { START_PRICES } from './startPrice.ts'

/** A step of the best reading this dear is read, and pointed at. */
const ODD = 1.4

/** Elements that are read as they are only because nothing cheaper was there: a cut with nothing to cut, a distance after a distance. */
export function oddPlaces(
  reader: Reader,
  builder: Builder,
  path: readonly number[],
  text: string,
  already: readonly Diagnostic[],
): Diagnostic[] {
  const { matches } = reader
  const found: Diagnostic[] = []
  let before: number = CLASS.begin
  for (const match of path) {
    const cls = matches.cls.at[match]!
    const price = START_PRICES[reader.priceRow(match) + before]! + matches.cost.at[match]!
    const own = price + reader.prices[matches.flags.at[match]!]!
    before = cls % CLASSES
    if (own < ODD || cls === CLASS.unknown || cls === CLASS.filler || builder.repairsOf(match).length > 0) continue
    const from = builder.from(match)
    const to = builder.to(match)
    if (already.some((one) => one.from < to && one.to > from)) continue
    found.push({
      severity: 'hint',
      code: 'odd',
      message: `"${text.slice(from, to).replace(/\s+/g, ' ')}" is unusual here; is a word missing or misheard?`,
      from,
      to,
    })
  }
  return found
}

const NUMBER_END = /(\d|\b(?:ten|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred))$/i
const NUMBER_START = /^(\d|(?:one|two|three|four|five|six|seven|eight|nine)\b)/i

/** Two numbers side by side with nothing between ("sixty four right", read as 60 and then 4): the comma that was lost is offered, nothing is changed. */
export function lostCommas(builder: Builder, path: readonly number[], text: string): Diagnostic[] {
  const found: Diagnostic[] = []
  for (let i = 1; i < path.length; i++) {
    const from = builder.to(path[i - 1]!)
    const to = builder.from(path[i]!)
    if (to <= from || !/^[ \t]+$/.test(text.slice(from, to))) continue
    const before = text.slice(builder.from(path[i - 1]!), from)
    if (!NUMBER_END.test(before) || !NUMBER_START.test(text.slice(to, to + 6))) continue
    found.push({
      severity: 'hint',
      code: 'lost-comma',
      message: `"${before}" ends here and "${text.slice(to, builder.to(path[i]!))}" begins; a comma would say so.`,
      from: builder.from(path[i - 1]!),
      to: builder.to(path[i]!),
      fix: { label: 'put a comma', from, to: from, insert: ',' },
      certain: false,
    })
  }
  return found
}
