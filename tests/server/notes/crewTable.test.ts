import { describe, expect, it } from 'vitest'
import { checkCrewTable, crewTableFault } from '../../../server/notes/crewTable.ts'
import type { CrewWord } from '../../../server/notes/notes.ts'

const word = (forms: readonly string[], means: string | null = null): CrewWord => ({ forms, means })
const saysOf = (...rows: CrewWord[]) => checkCrewTable(rows).problems.map(({ row, says }) => `${row}: ${says}`)

describe("a crew's own table", () => {
  it('takes words that stand for a built-in one and words that are only said', () =>
    expect(saysOf(word(['zig', 'zg'], 'chicane'), word(['cr']))).toEqual([]))
  it('refuses a meaning nobody knows, and names the nearest', () =>
    expect(saysOf(word(['zg'], 'chicayne'))).toEqual([
      '0: “chicayne” is no word of the built-in table. Did you mean “chicane”? Choose one from the list, or leave it empty for a word that is only said.',
    ]))
  it('refuses a row in which nothing is written', () =>
    expect(saysOf(word([' '], 'chicane'))[0]).toMatch(/^0: Nothing is written here/))
  it('refuses a comma, which is a pause', () => expect(saysOf(word([','], 'into'))[0]).toMatch(/read as a pause/))
  it.each(['60', 'four', 'twenty five'])('refuses the number %s', (number) =>
    expect(saysOf(word([number], 'into'))[0]).toMatch(/is a number, and numbers stay/),
  )
  it('refuses more than ten ways of writing', () =>
    expect(saysOf(word('a b c d e f g h i j k'.split(' '), 'into'))[0]).toMatch(/11 ways of writing/))
  it('refuses more words than a phrase may have', () =>
    expect(saysOf(word(['a b c d e f'], 'into'))[0]).toMatch(/has 6 words; 5 are the most/))
  it('refuses a word that another row has, however it is written', () =>
    expect(saysOf(word(['Zig zag'], 'chicane'), word(['zig  zag'], 'kink'))).toEqual([
      '1: “zig  zag” stands in row 1 already; keep one of the two.',
    ]))
  it('tells which built-in meaning a row takes the place of', () =>
    expect(checkCrewTable([word(['br'], 'bridge')]).notices).toEqual([
      { row: 0, says: '“br” is read by your row alone now; built in, it means “brow”.' },
    ]))
  it('tells nothing of a row that means what is built in', () =>
    expect(checkCrewTable([word(['opened'], 'open shape')]).notices).toEqual([]))
  it('names two built-in meanings of one name once', () =>
    expect(checkCrewTable([word(['long'], 'chicane')]).notices.map(({ says }) => says)).toEqual([
      '“long” is read by your row alone now; built in, it means “long”.',
    ]))
})

describe("a crew's own table in a file", () => {
  it.each([
    ['nothing', undefined, null],
    ['a good row', [{ forms: ['zg'], means: 'chicane' }], null],
    ['no list', { zg: 'chicane' }, /no list of rows/],
    ['a row of another form', [{ forms: ['zg'], means: null }, { zg: 'chicane' }], /^row 2 has not the form/],
    ['a row that cannot be used', [{ forms: ['60'], means: 'into' }], /^row 1: “60” is a number/],
  ])('%s', (_, table, says) => {
    const fault = crewTableFault(table)
    if (says === null) expect(fault).toBe(null)
    else expect(fault).toMatch(says)
  })
})
