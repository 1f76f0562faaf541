import { describe, expect, it } from 'vitest'
import { createPlayer } from '../../../client/playback/player.ts'
import type { StageTime } from '../../../server/units.ts'
import { evenRun, fakeCard } from './fakeCard.ts'

const at = (t: number) => t as StageTime

/** A ride with calls at 2, 6, 10 … s, stepped a twentieth of a second at a time. */
function ride() {
  const { card, heard, step } = fakeCard()
  const player = createPlayer(card, evenRun(20, 2000, 4))
  const go = (seconds: number) => {
    for (let i = 0; i < seconds * 20; i++) {
      step(0.05)
      player.wake()
    }
  }
  const said = () => heard.filter((one) => !one.stopped).map((one) => one.clip)
  return { player, go, said }
}

describe('a gate', () => {
  it('holds the car before the call that starts there, which is not said', () => {
    const { player, go, said } = ride()
    player.start()
    player.gateAt(at(6))
    go(20)
    expect([player.stageHeard(), player.waiting(), said()]).toEqual([6, true, ['clip 0']])
  })

  it('lets the ride go on from there when it is lifted, the call first', () => {
    const { player, go, said } = ride()
    player.start()
    player.gateAt(at(6))
    go(20)
    player.gateAt(null)
    go(2)
    expect([player.status(), said()]).toEqual(['riding', ['clip 0', 'clip 1']])
  })

  it('takes back a call that was on its way to the sound card', () => {
    const { player, go, said } = ride()
    player.start()
    go(3 + 2 - 0.15)
    expect(said()).toEqual(['clip 0'])
    player.gateAt(at(2))
    go(5)
    expect([said(), player.waiting()]).toEqual([[], true])
    player.gateAt(at(6))
    go(5)
    expect(said()).toEqual(['clip 0'])
  })

  it('does nothing to a ride the crew holds itself', () => {
    const { player, go } = ride()
    player.start()
    go(4)
    player.pause()
    player.gateAt(at(6))
    player.gateAt(null)
    expect([player.status(), player.waiting()]).toEqual(['held', false])
  })

  it('refuses what is no number', () => {
    expect(() => ride().player.gateAt(at(Number.NaN))).toThrow(/gateAt/)
  })
})
