import type { PlacementView, RoadTable } from '../../server/api/wire.ts'
import { HeightProfile } from '../routes/HeightProfile.tsx'
import { type PlacedLabel, PlanView } from '../routes/PlanView.tsx'
import { StretchView } from '../routes/StretchView.tsx'
import { shortText } from './lineTimes.ts'
import { RoadPart } from './RoadPart.tsx'
import type { useRoad } from './useRoad.ts'

interface Props {
  readonly road: RoadTable | null
  readonly files: ReturnType<typeof useRoad>
  readonly labels: readonly PlacedLabel[]
  readonly lit: number | null
  readonly choose: (call: number) => void
  readonly anchor: (call: number, station: number) => void
}

/** The road beside the notes: its plan with the calls on it, or the whole of its files while start and finish are chosen; its files; its heights. */
export function RoadSide({ road, files, labels, lit, choose, anchor }: Props) {
  const chosen = labels.find((one) => one.call === lit) ?? null
  return (
    <>
      {road && (
        <>
          <p className="small soft about">
            {road.source === 'notes' ? 'drawn from the notes, not measured' : 'plan, north up'} ·{' '}
            {(road.length / 1000).toFixed(2)} km
          </p>
          {files.road && files.ends ? (
            <StretchView
              road={files.road}
              ends={files.ends}
              move={(end, station) => files.choose({ ...files.ends!, [end]: station })}
            />
          ) : (
            <PlanView road={road} labels={labels} lit={lit} choose={choose} anchor={anchor} />
          )}
        </>
      )}
      <RoadPart {...files} />
      {road && <HeightProfile road={road} lit={chosen} />}
    </>
  )
}

/** Calls as the plan shows them. */
export function labelsOf(placed: PlacementView | null): PlacedLabel[] {
  if (placed === null) return []
  return placed.placement.calls.map((one) => ({
    call: one.index,
    text: shortText(placed.texts[one.index]!),
    from: one.from,
    to: one.to,
    sure: one.confidence >= 0.9,
  }))
}
