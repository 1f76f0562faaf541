import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { replaceRoad, roadsIn, setAsideRoad } from '../../../server/library/roadFiles.ts'
import { unwritable } from './unwritable.ts'

const root = mkdtempSync(join(tmpdir(), 'roads-'))
afterAll(() => rmSync(root, { recursive: true }))
let next = 0
const OLD = Uint8Array.of(1, 2, 3)
const NEW = Uint8Array.of(4, 5)

function withRoad(): string {
  const folder = join(root, String(next++))
  mkdirSync(folder)
  replaceRoad(folder, 'first run.gpx', OLD, 1)
  return folder
}

describe('the first road file of a stage', () => {
  it('stays where the next one does not go on the disk', () => {
    const folder = withRoad()
    expect(() => replaceRoad(folder, 'second.gpx', unwritable(), 2)).toThrow(/no space/)
    expect(roadsIn(folder, {}).route).toMatchObject({ name: 'first run.gpx', bytes: Buffer.from(OLD) })
  })

  it('stays where the next one is of another kind and does not go on the disk', () => {
    const folder = withRoad()
    expect(() => replaceRoad(folder, 'second.kml', unwritable(), 2)).toThrow(/no space/)
    expect(roadsIn(folder, {}).route).toMatchObject({ name: 'first run.gpx', bytes: Buffer.from(OLD) })
  })

  it('leaves nothing half written behind', () => {
    const folder = withRoad()
    expect(() => replaceRoad(folder, 'second.kml', unwritable(), 2)).toThrow()
    expect(readdirSync(folder).sort()).toEqual(['.route-name', 'route.gpx', 'versions'])
  })

  it('is kept among the versions when another takes its place', () => {
    const folder = withRoad()
    const before = replaceRoad(folder, 'second.kml', NEW, 7)
    expect(before).toEqual({ version: '7-route.gpx', name: 'first run.gpx' })
    expect(Uint8Array.from(readFileSync(join(folder, 'versions', '7-route.gpx')))).toEqual(OLD)
    expect(roadsIn(folder, {}).route?.name).toBe('second.kml')
  })

  it('is taken out and kept when the stage is to have none', () => {
    const folder = withRoad()
    expect(setAsideRoad(folder, 7)?.version).toBe('7-route.gpx')
    expect(roadsIn(folder, {}).route).toBe(null)
  })

  it('is never a part that a crash left behind', () => {
    const folder = withRoad()
    rmSync(join(folder, 'route.gpx'))
    writeFileSync(join(folder, 'route.gpx.0a1b2c3d.part'), NEW)
    expect(roadsIn(folder, {}).route).toBe(null)
  })
})
