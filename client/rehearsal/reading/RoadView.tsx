import { useEffect, useMemo, useRef, useState } from 'react'
import type { PlanDocument, RoadTable } from '../../../server/api/wire.ts'
import type { StageTime } from '../../../server/units.ts'
import { clockInWords, speedInWords, type Units } from '../../look/words.ts'
import { type CarState, carAtInPlace, stationAt } from '../../playback/carAt.ts'
import { hasWebGl } from '../../road/hasWebGl.ts'
import { PlanRide } from '../../road/PlanRide.tsx'
import { RibbonRoad } from '../../road/RibbonRoad.tsx'

/** The road at a stage time asked once a frame, with clock and speed. */
export function RoadView(q: {
  road: RoadTable
  plan: PlanDocument
  units: Units
  stageNow: () => StageTime
  onFrame?: (now: StageTime) => void
}) {
  const [flat] = useState(() => !hasWebGl() || matchMedia('(prefers-reduced-motion: reduce)').matches)
  const clock = useRef<HTMLSpanElement>(null)
  const speed = useRef<HTMLSpanElement>(null)
  const car = useRef<CarState>({ station: 0, speed: 0 })
  const now = useRef(q)
  now.current = q
  const profile = q.plan.profile!
  const marks = useMemo(() => q.plan.calls.map((one) => stationAt(profile, one.actBy)), [q.plan, profile])
  const stationNow = useRef(() => {
    carAtInPlace(now.current.plan.profile!, now.current.stageNow(), car.current)
    return car.current.station
  })
  useEffect(() => {
    let frame = 0
    const at: CarState = { station: 0, speed: 0 }
    const tick = () => {
      const t = now.current.stageNow()
      carAtInPlace(now.current.plan.profile!, t, at)
      clock.current!.textContent = clockInWords(t)
      speed.current!.textContent = speedInWords(at.speed, now.current.units, 0)
      now.current.onFrame?.(t)
      frame = requestAnimationFrame(tick)
    }
    tick()
    return () => cancelAnimationFrame(frame)
  }, [])
  return (
    <div className="view">
      {flat ? (
        <PlanRide road={q.road} marks={marks} stationNow={stationNow.current} />
      ) : (
        <RibbonRoad road={q.road} marks={marks} stationNow={stationNow.current} />
      )}
      <div className="reading left">
        <span className="figure" ref={clock}>
          {clockInWords(0)}
        </span>
      </div>
      <div className="reading right">
        <span className="figure" ref={speed} />
      </div>
      {q.road.source === 'notes' && <p className="drawn">road drawn from the notes, not measured</p>}
    </div>
  )
}
