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
  if (!ride && !problem) return <Preparing progress={progress} />
  const calls = take.score?.calls ?? []
  const stageNow = () => (take.about.from + (audio.current?.currentTime ?? 0)) as StageTime
  const showSaid = (now: StageTime) => {
    const call = calls.findLast((one) => one.start !== null && one.start <= now + 0.02)
    const text = call ? `${call.say}: ${call.verdict}` : ' '
    if (said.current && said.current.textContent !== text) said.current.textContent = text
  }
  return (
    <div className="replay">
      {ride ? (
        <RoadView
          road={ride.road}
          plan={ride.plan}
          units={ride.stage.settings.units}
          stageNow={stageNow}
          onFrame={showSaid}
        />
      ) : (
        // Car, surface or road were changed since: the take itself can still be heard.
        <p className="problem">The road cannot be shown at the take’s own speed. {problem}</p>
      )}
      <p ref={said} className="lead" />
      {/* biome-ignore lint/a11y/useMediaCaption: the calls stand beside it as they are said */}
      <audio
        ref={audio}
        controls
        src={`/api/stages/${stageId}/takes/${take.id}/sound`}
        onTimeUpdate={() => ride || showSaid(stageNow())}
      />
    </div>
  )
}
