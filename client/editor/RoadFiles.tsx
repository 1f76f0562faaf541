import { useState } from 'react'
import type { RoadChange, RoadChoice, RoadFileUse } from '../../server/api/wireRoad.ts'
import { DropFile } from '../look/DropFile.tsx'

interface Props {
  readonly road: RoadChoice | null
  readonly busy: boolean
  readonly change: (change: RoadChange) => void
  readonly addFile: (file: File, use: RoadFileUse) => void
}

const USES: readonly (readonly [RoadFileUse, string])[] = [
  ['instead', 'in place of the road there is'],
  ['join', 'joined on, by its nearest end'],
  ['average', 'another log of the same road: average them'],
]

/** The files a road is made of, the lines in them, what was lost in reading, and a way in for another. */
export function RoadFiles({ road, busy, change, addFile }: Props) {
  const losses = Object.entries(road?.losses ?? {}).filter(([, count]) => count > 0)
  return (
    <details open={road === null}>
      <summary>
        {road === null
          ? 'Add a road file'
          : `Files: ${road.files.map((one) => one.name).join(', ')}${losses.length > 0 ? `; ${losses.length} ${losses.length === 1 ? 'thing' : 'things'} mended or lost` : ''}`}
      </summary>
      {road && losses.length > 0 && (
        <ul className="small" aria-label="Mended or lost">
          {losses.map(([reason, count]) => (
            <li key={reason}>
              {reason}: {count}
            </li>
          ))}
        </ul>
      )}
      {road && road.files.length > 1 && (
        <ul className="small">
          {road.files.slice(1).map((one) => (
            <li key={one.file}>
              {one.name}, {one.use === 'average' ? 'averaged in' : 'joined on'}{' '}
              <button
                type="button"
                className="quiet"
                disabled={busy}
                aria-label={`leave out ${one.name}`}
                onClick={() => change({ without: one.file })}
              >
                leave it out
              </button>
            </li>
          ))}
        </ul>
      )}
      {road && road.lines.length > 1 && <Lines road={road} busy={busy} change={change} />}
      <AddFile first={road === null} busy={busy} addFile={addFile} />
    </details>
  )
}

function Lines({ road, busy, change }: { road: RoadChoice; busy: boolean; change: Props['change'] }) {
  const used = road.lines.flatMap((line, i) => (line.used ? [i] : []))
  return (
    <fieldset className="small lines">
      <legend>Lines in these files, of which the road is made</legend>
      {road.lines.map((line, i) => (
        // biome-ignore lint/suspicious/noArrayIndexKey: a line has no other name than its number
        <div key={i} className="row">
          <label>
            <input
              type="checkbox"
              checked={line.used}
              disabled={busy || (line.used && used.length === 1)}
              onChange={() =>
                change({ lines: line.used ? used.filter((one) => one !== i) : [...used, i].sort((a, b) => a - b) })
              }
            />{' '}
            {line.name}, {(line.length / 1000).toFixed(2)} km{line.reversed ? ', driven backwards' : ''}
          </label>
          <button
            type="button"
            className="quiet"
            disabled={busy || (line.used && used.length === 1)}
            aria-label={`only ${line.name}`}
            onClick={() => change({ lines: [i] })}
          >
            only this
          </button>
        </div>
      ))}
      <button type="button" className="quiet" disabled={busy} onClick={() => change({ lines: null })}>
        the longest road in them
      </button>
    </fieldset>
  )
}

function AddFile({ first, busy, addFile }: { first: boolean; busy: boolean; addFile: Props['addFile'] }) {
  const [use, setUse] = useState<RoadFileUse>('join')
  return (
    <div className="small">
      <DropFile
        button={first ? 'choose a road file' : 'add a file'}
        label="Road file"
        disabled={busy}
        take={(file) => addFile(file, first ? 'instead' : use)}
      >
        {!first && (
          <label>
            as{' '}
            <select value={use} onChange={(event) => setUse(event.target.value as RoadFileUse)}>
              {USES.map(([value, words]) => (
                <option key={value} value={value}>
                  {words}
                </option>
              ))}
            </select>
          </label>
        )}
        <span className="soft">
          or drop it here: GPX, KML, KMZ, TCX, GeoJSON, OpenDRIVE or CSV. The file is kept as it is; nothing done here
          changes it.
        </span>
      </DropFile>
    </div>
  )
}
