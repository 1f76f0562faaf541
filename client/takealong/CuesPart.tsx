import { useState } from 'react'

/** Calls as captions over an on-board video, as tables, and as points on a map. */
export function CuesPart({ stageId, hasRoute }: { stageId: string; hasRoute: boolean }) {
  const [offset, setOffset] = useState('0')
  const seconds = Number(offset)
  const fine = offset.trim() !== '' && Number.isFinite(seconds) && Math.abs(seconds) <= 86_400
  const at = (format: string) => `/api/stages/${stageId}/cues/${format}?offset=${fine ? seconds : 0}`
  return (
    <section className="stack rule" aria-labelledby="cues">
      <h2 id="cues">Captions and tables</h2>
      <label>
        The car leaves at{' '}
        <input
          type="text"
          inputMode="decimal"
          size={6}
          value={offset}
          aria-invalid={!fine}
          onChange={(event) => setOffset(event.target.value)}
        />{' '}
        s of the video
      </label>
      {!fine && <p className="over">Write seconds, as 12.5.</p>}
      <div className="row">
        <a className="button" href={at('vtt')} download>
          Captions (WebVTT)
        </a>
        <a className="button" href={at('srt')} download>
          Captions (SRT)
        </a>
        <a className="button" href={at('csv')} download>
          Table (CSV)
        </a>
        <a className="button" href={at('json')} download>
          Plan (JSON)
        </a>
        {hasRoute && (
          <a className="button" href={at('gpx')} download>
            Map points (GPX)
          </a>
        )}
      </div>
      {!hasRoute && <p className="soft">A road drawn from notes has no place on earth, so there are no map points.</p>}
    </section>
  )
}
