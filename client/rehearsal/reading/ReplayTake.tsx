import { useRef } from 'react'
import type { TakeDetail } from '../../../server/api/wireTakes.ts'
import type { StageTime } from '../../../server/units.ts'
import { Preparing } from '../Captions.tsx'
import { RoadView } from './RoadView.tsx'
import { useRide } from './useRide.ts'

/** A take played back on the moving road: the sound leads, the picture and the marks follow it. */
export function ReplayTake({ stageId, take }: { stageId: string; take: TakeDetail }) {
  const { ride, problem, progress } = useRide(stageId, take.averageSpeed)
  const audio = useRef<HTMLAudioElement>(null)
  const said = useRef<HTMLParagraphElement>(null)
  if (problem) return <p className="problem">{problem}</p>
  if (!ride) return <Preparing progress={progress} />
  const calls = take.score?.calls ?? []
  const stageNow = () => (take.about.from + (audio.current?.currentTime ?? 0)) as StageTime
  const onFrame = (now: StageTime) => {
    const call = calls.findLast((one) => one.start !== null && one.start <= now + 0.02)
    const text = call ? `${call.say}: ${call.verdict}` : ' '
    if (said.current && said.current.textContent !== text) said.current.textContent = text
  }
  return (
    <div className="replay">
      <RoadView
        road={ride.road}
        plan={ride.plan}
        units={ride.stage.settings.units}
        stageNow={stageNow}
        onFrame={onFrame}
      />
      <p ref={said} className="lead" />
      {/* biome-ignore lint/a11y/useMediaCaption: the calls stand beside it as they are said */}
      <audio ref={audio} controls src={`/api/stages/${stageId}/takes/${take.id}/sound`} />
    </div>
  )
}
