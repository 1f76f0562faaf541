import { useCallback, useMemo, useRef, useState } from 'react'
import type { ClubPlanDocument } from '../../server/api/wire.ts'
import { type CarState, carAtInPlace, stationAt } from '../playback/carAt.ts'
import { hasWebGl } from '../road/hasWebGl.ts'
import { PlanRide } from '../road/PlanRide.tsx'
import { RibbonRoad } from '../road/RibbonRoad.tsx'
import type { ClubSession } from './clubSession.ts'

/** The road as the room sees it now; on phones, and where motion is to be spared, in plan. */
export function ClubRoad({ session, plan, deep }: { session: ClubSession; plan: ClubPlanDocument; deep: boolean }) {
  const car = useRef<CarState>({ station: 0, speed: 0 })
  const [flat] = useState(() => !deep || !hasWebGl() || matchMedia('(prefers-reduced-motion: reduce)').matches)
  const profile = plan.plan.profile!
  const stationNow = useCallback(() => {
    carAtInPlace(profile, session.moment()?.pos ?? 0, car.current)
    return car.current.station
  }, [profile, session])
  const marks = useMemo(() => plan.plan.calls.map((call) => stationAt(profile, call.actBy)), [plan, profile])
  return flat ? (
    <PlanRide road={plan.road} marks={marks} stationNow={stationNow} />
  ) : (
    <RibbonRoad road={plan.road} marks={marks} stationNow={stationNow} />
  )
}
