import { describe, expect, it } from 'vitest'
import { ceilingMarks } from '../../../client/rehearsal/ceilingMarks.ts'

describe('marks of the speed slider', () => {
  it('share their words where they would lie on each other', () => {
    const near = [
      { at: 71, words: 'standard' },
      { at: 70, words: 'verbose' },
    ]
    expect(ceilingMarks(near)).toEqual([{ at: 70, words: 'verbose, standard' }])
  })

  it('stand alone where there is room', () => {
    const far = [
      { at: 20, words: 'verbose' },
      { at: 80, words: 'terse' },
    ]
    expect(ceilingMarks(far)).toEqual(far)
  })
})
