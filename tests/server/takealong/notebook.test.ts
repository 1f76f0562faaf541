import { spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { Rehearsal } from '../../../server/rehearsal/stage.ts'
import { openSilentEngine } from '../../../server/speech/silentEngine.ts'
import { countLines } from '../../../server/takealong/notebook/breakLines.ts'
import { notebookHtml } from '../../../server/takealong/notebook/notebookHtml.ts'
import { layOut, type Paper, SIZES, USUAL_TYPE } from '../../../server/takealong/notebook/paper.ts'
import { findBrowser, printPdf } from '../../../server/takealong/notebook/printPdf.ts'
import { demoRun } from './demoRun.ts'

const poppler = existsSync('/usr/bin/pdftotext') && findBrowser() !== null
const folder = mkdtempSync(join(tmpdir(), 'notebook-'))
let rehearsal: Rehearsal
beforeAll(async () => {
  rehearsal = (await demoRun('quarry-steps', openSilentEngine())).rehearsal
})
afterAll(() => rmSync(folder, { recursive: true }))
const options = { units: 'metric', words: 'typed' } as const
const paper = (name: Paper['name'], landscape: boolean, lines: number | null = null): Paper => ({
  name,
  landscape,
  type: USUAL_TYPE[name],
  lines,
})

describe('the notebook', () => {
  it.skipIf(!poppler).each([
    ['A5', false],
    ['A6', true],
  ] as const)(
    'prints %s (landscape: %s) at its size, every page and every call on it, by poppler',
    async (name, landscape) => {
      const { html, pages } = notebookHtml(rehearsal, paper(name, landscape), options)
      const pdf = join(folder, `${name}.pdf`)
      await printPdf(html, pdf)
      const info = spawnSync('pdfinfo', [pdf], { encoding: 'utf8' }).stdout
      expect(Number(/Pages:\s+(\d+)/.exec(info)![1])).toBe(pages.length)
      const [, width, height] = /Page size:\s+([\d.]+) x ([\d.]+) pts/.exec(info)!
      const [short, long] = SIZES[name]
      const mm = (points: string | undefined) => (Number(points) * 25.4) / 72
      // Chromium rounds a page to whole CSS pixels, 0.26 mm.
      expect(Math.abs(mm(width) - (landscape ? long : short))).toBeLessThan(0.3)
      expect(Math.abs(mm(height) - (landscape ? short : long))).toBeLessThan(0.3)
      pages.forEach((page, p) => {
        const at = String(p + 1)
        const text = spawnSync('pdftotext', ['-f', at, '-l', at, '-raw', pdf, '-'], { encoding: 'utf8' }).stdout
        const words = text.replace(/\s+/g, ' ')
        for (const row of page.rows) expect(words).toContain(row.text)
        expect(words).toContain(`${p + 1} of ${pages.length}`)
        expect(words).toContain('never while driving on a road open to others')
        expect(words).toContain('The road is drawn from the notes')
      })
    },
  )
  it('keeps to the lines asked for', () => {
    const { pages } = notebookHtml(rehearsal, paper('A5', false, 6), options)
    expect(Math.max(...pages.map((page) => page.rows.length))).toBeLessThanOrEqual(6)
  })
  it('carries what a crew typed as text, never as markup', async () => {
    const call = rehearsal.stage.notes.calls[0]!
    const text = '<b>6</b> & "left"'
    const notes = { ...rehearsal.stage.notes, calls: [{ ...call, text }, ...rehearsal.stage.notes.calls.slice(1)] }
    const { html } = notebookHtml({ ...rehearsal, stage: { ...rehearsal.stage, notes } }, paper('A5', false), options)
    expect(html).toContain('&lt;b&gt;6&lt;/b&gt; &amp; &quot;left&quot;')
  })
  it('refuses type that leaves no room', () =>
    expect(() => layOut({ ...paper('A6', false), type: 40 })).toThrow(RangeError))
  it('leaves no half PDF where the browser fails', async () => {
    await expect(printPdf('<p>', join(folder, 'none.pdf'), '/bin/false')).rejects.toMatchObject({ name: 'PrintError' })
    expect(readdirSync(folder).filter((name) => name.startsWith('none'))).toEqual([])
  })
  it('says what to do without a browser', async () => {
    await expect(printPdf('<p>', join(folder, 'none.pdf'), null)).rejects.toThrow(/write name\.html/)
  })
})

describe('lines of a text', () => {
  it('are one while it fits', () => expect(countLines('6 left', 4)).toBe(1))
  it('are two when the next word does not', () => expect(countLines('6 left long', 4)).toBe(2))
  it('cut a word wider than a line', () => expect(countLines('W'.repeat(40), 8)).toBeGreaterThanOrEqual(5))
})
