import { useState } from 'react'
import type { PlacementView, RoadTable } from '../../server/api/wire.ts'
import { DraftNotes } from './DraftNotes.tsx'
import { Findings } from './Findings.tsx'
import { GradeScale } from './GradeScale.tsx'
import { HandPlacement } from './HandPlacement.tsx'

interface Props {
  readonly stageId: string
  readonly placed: PlacementView
  readonly road: RoadTable
  readonly lit: number | null
  readonly caution: number | null | undefined
  readonly jump: (call: number) => void
  readonly anchor: (call: number, station: number | null) => void
  readonly take: (text: string) => void
  readonly setCaution: (share: number | null) => Promise<unknown>
}

/** Beneath the map: the chosen call's place, what notes and road disagree in, and the crew's grades. */
export function Placed(q: Props) {
  const measured = q.road.source !== 'notes'
  if (measured && q.placed.texts.length === 0) return <DraftNotes stageId={q.stageId} take={q.take} />
  return (
    <>
      <HandPlacement placed={q.placed} call={q.lit} length={q.road.length} anchor={q.anchor} />
      <Findings placed={q.placed} jump={q.jump} />
      <div className="findings">
        {measured && <GradeScale rows={q.placed.placement.gradeScale} odometer={q.placed.placement.odometer} />}
        <Caution share={q.caution ?? null} change={q.setCaution} />
      </div>
    </>
  )
}

const SHARES = [0.4, 0.5, 0.6, 0.7]

function Caution({ share, change }: { share: number | null; change: Props['setCaution'] }) {
  const [own, setOwn] = useState(share)
  return (
    <label className="small">
      tell a missing caution where speed falls by more than{' '}
      <select
        value={own ?? ''}
        onChange={(event) => {
          const next = event.target.value === '' ? null : Number(event.target.value)
          setOwn(next)
          void change(next)
        }}
      >
        <option value="">(never)</option>
        {SHARES.map((one) => (
          <option key={one} value={one}>
            {Math.round(100 * one)} %
          </option>
        ))}
      </select>
    </label>
  )
}
