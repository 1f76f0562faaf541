import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { captionsIn, keepCaptions } from '../../../server/library/captionFile.ts'
import { unwritable } from './unwritable.ts'

const root = mkdtempSync(join(tmpdir(), 'captions-'))
afterAll(() => rmSync(root, { recursive: true }))
let next = 0
const fresh = () => {
  const folder = join(root, String(next++))
  mkdirSync(folder)
  return folder
}
const FIRST = Uint8Array.of(0xef, 0xbb, 0xbf, 0x57, 0x0d, 0x0a, 0xff)
const SECOND = new TextEncoder().encode('1\n00:00:01,000 --> 00:00:02,000\n5 left\n')

describe('captions in a stage folder', () => {
  it('are kept byte for byte', () => {
    const folder = fresh()
    keepCaptions(folder, 'vtt', FIRST, 1)
    expect(Uint8Array.from(captionsIn(folder, null)!.bytes)).toEqual(FIRST)
  })
  it('go to the versions when others take their place', () => {
    const folder = fresh()
    keepCaptions(folder, 'vtt', FIRST, 1)
    keepCaptions(folder, 'srt', SECOND, 2)
    expect(Uint8Array.from(readFileSync(join(folder, 'versions', '2-0-captions.vtt')))).toEqual(FIRST)
    expect(captionsIn(folder, null)?.name).toBe('captions.srt')
  })
  it('leave no version behind when they come twice', () => {
    const folder = fresh()
    keepCaptions(folder, 'srt', SECOND, 1)
    keepCaptions(folder, 'srt', SECOND, 2)
    expect(existsSync(join(folder, 'versions'))).toBe(false)
    expect(readdirSync(folder)).toEqual(['captions.srt'])
  })
  it('stay where the next ones do not go on the disk', () => {
    const folder = fresh()
    keepCaptions(folder, 'vtt', FIRST, 1)
    expect(() => keepCaptions(folder, 'vtt', unwritable(), 2)).toThrow(/could not be kept/)
    expect(Uint8Array.from(captionsIn(folder, null)!.bytes)).toEqual(FIRST)
  })
  it('are none where there are none', () => expect(captionsIn(fresh(), null)).toBe(null))
})
