import type { StageDetail } from '../../server/api/wire.ts'
import { useLoaded } from '../connection/useLoaded.ts'
import { ProblemPage } from '../look/ProblemPage.tsx'
import { speedInWords } from '../look/words.ts'
import { BundlePart } from './BundlePart.tsx'
import { CuesPart } from './CuesPart.tsx'
import { NotebookPart } from './NotebookPart.tsx'
import { OfflinePart } from './OfflinePart.tsx'
import { SoundPart } from './SoundPart.tsx'
import './takealong.css'

/** Take along: the stage as sound, captions, tables, a printed notebook, one file, or kept in this browser. */
export default function TakeAlongPage({ stageId }: { stageId: string }) {
  const { loaded: stage, problem } = useLoaded<StageDetail>(`/stages/${stageId}`)
  if (problem) return <ProblemPage text={problem} />
  if (!stage) return <main aria-busy="true">Opening the stage …</main>
  const { target, units } = stage.settings
  const at = target.kind === 'average' ? ` at ${speedInWords(target.speed, units)}` : ''
  return (
    <main className="stack takealong">
      <h1>Take {stage.title} along</h1>
      <p className="caution">
        Everything here is made from the stage’s own target{at} and wording. To listen in a car, be a passenger, or
        stand still: never rehearse while driving on a road open to others.
      </p>
      <SoundPart stageId={stageId} />
      <NotebookPart stageId={stageId} />
      <CuesPart stageId={stageId} hasRoute={stage.route !== null} />
      <OfflinePart stageId={stageId} />
      <BundlePart stageId={stageId} />
    </main>
  )
}
