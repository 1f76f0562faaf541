import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import type { StageDetail } from '../../../server/api/wire.ts'
import type { RoadChoice, RoadNews } from '../../../server/api/wireRoad.ts'
import { demoServer } from './demoServer.ts'

const { api, post, library, stage } = demoServer('road-edits-')

/** Points every 20 m along the equator, so that a hundred-thousandth of a degree is 1.11 m: from, to in points. */
const gpx = (from: number, to: number) =>
  `<gpx><trk><trkseg>${Array.from({ length: Math.abs(to - from) + 1 }, (_, i) => `<trkpt lat="0" lon="${((from + i * Math.sign(to - from)) * 20) / 111_319.49}"/>`).join('')}</trkseg></trk></gpx>`
const give = async (name: string, text: string, use: string) => {
  const response = await api(`/stages/${stage()}/road/files?name=${name}&use=${use}`, { method: 'POST', body: text })
  return (await response.text())
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line) as RoadNews)
}
const roadOf = (news: readonly RoadNews[]) => (news.at(-1) as { road: RoadChoice }).road
const put = (path: string, body: unknown) =>
  api(path, { method: 'PUT', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) })
const change = async (body: unknown) => (await (await put(`/stages/${stage()}/road/choice`, body)).json()) as RoadChoice
const undo = async () => (await (await post(`/stages/${stage()}/road/undo`, {})).json()) as RoadChoice
const detail = async () => (await (await api(`/stages/${stage()}`)).json()) as StageDetail
const lengthNow = async () => ((await (await api(`/stages/${stage()}/road`)).json()) as { length: number }).length
const anchor = (station: number) => put(`/stages/${stage()}/anchors`, [{ call: 0, text: 'anything', station }])
const files = () => readdirSync(join(library, 'stages', stage()))

beforeAll(async () => {
  expect(await (await api(`/stages/${stage()}/road/choice`)).json()).toBeNull()
  await give('first.gpx', gpx(0, 100), 'instead')
})

describe('a road file', () => {
  it('is answered line by line: what is being done, then the road', async () => {
    const news = await give('first.gpx', gpx(0, 100), 'instead')
    expect(news.slice(0, -1).map((one) => 'doing' in one)).not.toContain(false)
    expect(roadOf(news)).toMatchObject({ from: 0, reversed: false, files: [{ name: 'first.gpx' }] })
    expect(roadOf(news).length).toBeCloseTo(2000, -1)
  })

  it('may have any name; the end of a long one is kept', async () => {
    const road = roadOf(await give(`${'n'.repeat(250)}.gpx`, gpx(0, 100), 'instead'))
    expect(road.files[0]!.name).toBe(`${'n'.repeat(196)}.gpx`)
    await undo()
  })

  it('that holds no road changes nothing, and says what is wrong', async () => {
    const news = await give('empty.gpx', '<gpx></gpx>', 'instead')
    expect(news.at(-1)).toMatchObject({ problem: { status: 422, detail: expect.stringMatching(/"empty.gpx"/) } })
    expect(await lengthNow()).toBeCloseTo(2000, -1)
  })
})

describe('the first file of a stage', () => {
  it('is set aside by undo, and kept', async () => {
    const { id } = (await (await post('/stages', { title: 'Bare', notes: '4 left 80' })).json()) as StageDetail
    await (await api(`/stages/${id}/road/files?name=only.gpx`, { method: 'POST', body: gpx(0, 50) })).text()
    expect(((await (await api(`/stages/${id}`)).json()) as StageDetail).route).toEqual({ file: 'only.gpx' })
    expect(await (await post(`/stages/${id}/road/undo`, {})).json()).toBeNull()
    expect(((await (await api(`/stages/${id}`)).json()) as StageDetail).route).toBeNull()
    expect(readdirSync(join(library, 'stages', id, 'versions'))).toEqual([expect.stringMatching(/^\d+-route\.gpx$/)])
  })
})

describe('start and finish', () => {
  it('cut the road that is rehearsed, and are kept in stage.json', async () => {
    const road = await change({ stretch: { from: 500, to: 1500 } })
    expect([road.from, road.to, await lengthNow()]).toEqual([500, 1500, 1000])
    expect((await detail()).settings.stretch).toEqual({ from: 500, to: 1500 })
  })

  it('leave a call put by hand where it is on the ground', async () => {
    await anchor(300)
    await change({ stretch: { from: 600, to: 1500 } })
    expect((await detail()).anchors[0]!.station).toBe(200)
  })

  it('stay the same stretch when the road is driven the other way', async () => {
    const road = await change({ reversed: true })
    expect([road.from, road.to, road.reversed]).toEqual([600, 1500, true])
    expect((await detail()).anchors[0]!.station).toBe(700)
  })

  it('tell of calls put by hand that are no longer on the road, and undo brings them back', async () => {
    const road = await change({ stretch: { from: 1000, to: 1500 } })
    expect(road.told).toMatch(/1 call put by hand is not on this road/)
    expect((await detail()).anchors).toEqual([])
    expect((await undo()).undo).toBe('direction')
    expect((await detail()).anchors[0]!.station).toBe(700)
  })

  it('refuse ends that are not on the road', async () => {
    const refused = await put(`/stages/${stage()}/road/choice`, { stretch: { from: 2100, to: 2500 } })
    expect([refused.status, (await refused.json()).detail]).toEqual([
      422,
      expect.stringMatching(/2100 to 2500 m is not on this road/),
    ])
  })

  it('are taken back step by step to the whole road', async () => {
    await undo()
    await undo()
    const road = await undo()
    expect([road.from, road.reversed, road.chosen]).toEqual([0, false, false])
    expect(road.to).toBe(road.length)
    expect((await detail()).anchors[0]!.station).toBe(800)
  })
})

describe('a further file', () => {
  it('is joined on by its nearest end, beside the first file', async () => {
    const road = roadOf(await give('second.gpx', gpx(101, 150), 'join'))
    expect(road.length).toBeCloseTo(3000, -1)
    expect(road.files.map((one) => one.name)).toEqual(['first.gpx', 'second.gpx'])
    expect(files()).toEqual(expect.arrayContaining(['route.gpx', 'route-2.gpx']))
    expect((await detail()).anchors[0]!.station).toBeCloseTo(800, -1)
  })

  it('can be left out again; its file stays', async () => {
    const road = await change({ without: 'route-2.gpx' })
    expect([Math.round(road.length / 10), road.files.length]).toEqual([200, 1])
    expect(files()).toContain('route-2.gpx')
    expect((await undo()).files).toHaveLength(2)
  })
})

describe('a stretch, when a further file comes', () => {
  it('stays where it is on the ground, whichever way the new road runs', async () => {
    await change({ stretch: { from: 500, to: 1500 } })
    const road = roadOf(await give('before.gpx', gpx(-50, -1), 'join'))
    expect(road.length).toBeCloseTo(4000, -1)
    expect([road.from, road.to].map((one) => Math.round(one / 10))).toEqual([150, 250])
    await undo()
    expect((await undo()).chosen).toBe(false)
  })
})

describe('a file in the place of another', () => {
  it('brings the one before back on undo, byte for byte', async () => {
    const before = readFileSync(join(library, 'stages', stage(), 'route.gpx'))
    expect(roadOf(await give('other.gpx', gpx(0, 30), 'instead')).undo).toBe('"other.gpx" in place of the road before')
    expect(await lengthNow()).toBeCloseTo(600, -1)
    const road = await undo()
    expect([road.files.map((one) => one.name), Math.round(road.length / 10)]).toEqual([
      ['first.gpx', 'second.gpx'],
      300,
    ])
    expect(readFileSync(join(library, 'stages', stage(), 'route.gpx')).equals(before)).toBe(true)
  })
})

describe('another log of the same road', () => {
  it('is averaged in, and stays in the first one’s direction', async () => {
    const road = roadOf(await give('third.gpx', gpx(150, 0), 'average'))
    expect(road.files.map((one) => one.use)).toEqual(['join', 'join', 'average'])
    expect(road.length).toBeCloseTo(3000, -2)
    expect(road.losses).toHaveProperty('logs averaged into one', 2)
    expect(road.x[0]!).toBeLessThan(road.x.at(-1)!)
  })
})

describe('a change that says nothing', () => {
  it('is no step to take back', async () => {
    const before = (await change({ reversed: false })).undo
    expect((await change({})).undo).toBe(before)
  })

  it('about a file the road does not have is refused, and no step either', async () => {
    const refused = await put(`/stages/${stage()}/road/choice`, { without: 'stage.json' })
    expect([refused.status, (await refused.json()).detail]).toEqual([404, expect.stringMatching(/no further file/)])
    expect((await change({})).undo).not.toBe('a file left out')
  })
})

describe('two files that come at once', () => {
  it('are both kept, one after the other', async () => {
    const before = (await change({ reversed: false })).files.length
    await Promise.all([give('left.gpx', gpx(151, 170), 'join'), give('right.gpx', gpx(171, 190), 'join')])
    const road = await change({ reversed: false })
    expect(
      road.files
        .slice(before)
        .map((one) => one.name)
        .sort(),
    ).toEqual(['left.gpx', 'right.gpx'])
  })
})

describe('a file of 200,000 points', () => {
  it('leaves the server answering while its road is built', async () => {
    const points = Array.from({ length: 200_000 }, (_, i) => {
      const [x, y] = [i / 111_319.49, (30 * Math.sin(i / 70)) / 111_319.49]
      return `<trkpt lat="${y.toFixed(8)}" lon="${(8 + x).toFixed(8)}"/>`
    })
    const response = await api(`/stages/${stage()}/road/files?name=long.gpx&use=instead`, {
      method: 'POST',
      body: `<gpx><trk><trkseg>${points.join('')}</trkseg></trk></gpx>`,
    })
    const order: string[] = []
    let asked: Promise<unknown> | null = null
    let rest = ''
    for await (const piece of response.body!.pipeThrough(new TextDecoderStream())) {
      rest += piece
      asked ??= rest.includes('smoothing') ? api('/cars').then(() => order.push('answered')) : null
    }
    order.push('built')
    await asked
    expect(order).toEqual(['answered', 'built'])
    const last = JSON.parse(rest.trim().split('\n').at(-1)!) as { road: RoadChoice }
    // 200 km, times the mean of √(1 + (3/7 cos)²), which is 1.045.
    expect([Math.round(last.road.length / 10_000), last.road.x.length < 4100]).toEqual([21, true])
  })
})
