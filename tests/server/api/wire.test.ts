import { describe, expect, it } from 'vitest'
import { patchStageSchema } from '../../../server/api/wire.ts'

describe('a change of some settings', () => {
  it('carries those and no others, so that no default overwrites a choice', () => {
    expect(patchStageSchema.parse({ settings: { lead: 3 } })).toEqual({ settings: { lead: 3 } })
  })

  it('keeps settings this version does not know', () => {
    expect(patchStageSchema.parse({ settings: { tyres: 'old' } }).settings).toEqual({ tyres: 'old' })
  })

  it('is refused with the name of what is out of range', () => {
    const refused = patchStageSchema.safeParse({ settings: { rate: 9000 } })
    expect(refused.error?.issues[0]?.path).toEqual(['settings', 'rate'])
  })
})
