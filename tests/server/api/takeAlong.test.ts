import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { unzipSync } from 'fflate'
import { describe, expect, it } from 'vitest'
import type { SoundState } from '../../../server/api/soundDesk.ts'
import { readPlanCsv } from '../../../server/takealong/readPlanFile.ts'
import { demoServer } from './demoServer.ts'

const { library, api, post, stage } = demoServer('take-along-')

/** Asks until the sound file is no longer being made; each answer is a turn of the server's own. */
async function finished(id: string): Promise<SoundState> {
  for (;;) {
    const state = (await (await api(`/sounds/${id}`)).json()) as SoundState
    if (state.state !== 'working') return state
  }
}

describe('what a crew takes along, over HTTP', () => {
  it('is a table that reads back', async () => {
    const response = await api(`/stages/${stage()}/cues/csv`)
    expect(response.headers.get('content-disposition')).toBe('attachment; filename="Quarry-Steps.csv"')
    expect(readPlanCsv(await response.text()).length).toBeGreaterThan(20)
  })
  it('says why there are no map points of a drawn road', async () => {
    const response = await api(`/stages/${stage()}/cues/gpx`)
    expect([response.status, (await response.json()).detail]).toEqual([422, expect.stringMatching(/no place on earth/)])
  })
  it('refuses a format it has not', async () => expect((await api(`/stages/${stage()}/cues/exe`)).status).toBe(400))
  it('is a notebook to print', async () =>
    expect(await (await api(`/stages/${stage()}/notebook?paper=A6`)).text()).toContain('@page{size:105mm 148mm'))
  it('is a sound file, made while it is watched', async () => {
    const begun = (await (await post(`/stages/${stage()}/sounds`, { format: 'wav' })).json()) as SoundState
    expect((await finished(begun.id)).state).toBe('ready')
    const bytes = new Uint8Array(await (await api(`/sounds/${begun.id}/file`)).arrayBuffer())
    expect(new TextDecoder().decode(bytes.subarray(0, 4))).toBe('RIFF')
  })
  it('leaves nothing of a sound file that was stopped', async () => {
    const begun = (await (await post(`/stages/${stage()}/sounds`, { format: 'mp3' })).json()) as SoundState
    expect((await api(`/sounds/${begun.id}`, { method: 'DELETE' })).status).toBe(204)
    expect(readdirSync(join(library, 'passing')).filter((name) => name.startsWith(begun.id))).toEqual([])
  })
  it('is a bundle that opens as another stage', async () => {
    const bytes = new Uint8Array(await (await api(`/stages/${stage()}/bundle`)).arrayBuffer())
    expect(Object.keys(unzipSync(bytes))).toContain('notes.txt')
    const opened = await api('/bundles', { method: 'POST', body: bytes })
    const { id } = await opened.json()
    expect([opened.status, id === stage]).toEqual([201, false])
    expect((await (await api(`/stages/${id}`)).json()).title).toBe('Quarry Steps')
  })
  it('refuses what is no bundle, and keeps nothing of it', async () => {
    const response = await api('/bundles', { method: 'POST', body: new Uint8Array(1000) })
    expect([response.status, (await response.json()).detail]).toEqual([
      422,
      expect.stringMatching(/^This bundle is not opened/),
    ])
    expect(readdirSync(join(library, 'stages')).filter((name) => name.startsWith('.'))).toEqual([])
  })
})
