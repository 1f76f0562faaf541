import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { runIn } from './runIn.ts'

const root = mkdtempSync(join(tmpdir(), 'notes-commands-'))
afterAll(() => rmSync(root, { recursive: true }))
const SPOKEN = '60 for left over of a crest 64 right\n'
let next = 0
function stage(notes: string, settings: object): string {
  const folder = join(root, String(next++))
  mkdirSync(folder)
  writeFileSync(join(folder, 'notes.txt'), notes)
  writeFileSync(join(folder, 'stage.json'), JSON.stringify(settings))
  return folder
}
const run = runIn(root)
const notesOf = (folder: string) => readFileSync(join(folder, 'notes.txt'), 'utf8')
const settingsOf = (folder: string) => JSON.parse(readFileSync(join(folder, 'stage.json'), 'utf8'))

describe('mending notes from the command line', () => {
  it('prints the mended notes and leaves the file', async () => {
    const folder = stage(SPOKEN, {})
    const { out } = await run('check', folder, '--fix', 'certain')
    expect(out).toContain('60 four left')
    expect(notesOf(folder)).toBe(SPOKEN)
  })
  it('writes what it prints, and keeps with the stage that it was dictated', async () => {
    const folder = stage(SPOKEN, { title: 'Fell' })
    const { out } = await run('check', folder, '--fix', 'certain', '--write')
    expect(notesOf(folder)).toBe(out)
    expect(settingsOf(folder)).toEqual({ title: 'Fell', dictated: true })
  })
  it('says of typed notes nothing they do not say', async () => {
    const folder = stage('5 left, 60, 4 right\n', { title: 'Fell' })
    await run('check', folder, '--fix', 'certain', '--write')
    expect(settingsOf(folder)).toEqual({ title: 'Fell' })
  })
})

describe('a file given alone', () => {
  it('is notes where it is text or captions', async () => {
    const text = join(root, 'alone.txt')
    const captions = join(root, 'alone.vtt')
    writeFileSync(text, '5 left, 60\n')
    writeFileSync(captions, 'WEBVTT\n\n00:01.000 --> 00:02.000\n5 left 60\n')
    for (const file of [text, captions]) expect((await run('read', file)).out).toContain('L 5 · 60')
  })
})

describe('notes as a new text', () => {
  it('are printed in the wording asked for', async () =>
    expect((await run('read', stage('5 left patience 130, 3 right', {}), '--wording', 'terse')).out).toBe(
      '5 left 130\n3 right\n',
    ))
})

describe("a crew's own words in stage.json", () => {
  it('are read', async () => {
    const folder = stage('zg left 60', { crewWords: [{ forms: ['zg'], means: 'chicane' }] })
    expect(JSON.parse((await run('read', folder, '--json')).out).calls[0].elements[0].value).toBe('L chicane')
  })
  it('that cannot be used end the command with one sentence', async () => {
    const { code, err } = await run('read', stage('zg left', { crewWords: [{ forms: ['zg'], means: 'chicayne' }] }))
    expect(code).toBe(1)
    expect(err).toMatch(/stage\.json", the crew's own words \(crewWords\): row 1: “chicayne” is no word/)
  })
})
