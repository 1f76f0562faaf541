import { useState } from 'react'
import type { StageDetail } from '../../server/api/wire.ts'
import { hear } from './hear.ts'

type Row = StageDetail['settings']['sayAs'][number]

/** The crew's own list: say "Hp" as "hairpin"; every row is heard at once. */
export function SayAsList({ stage, save }: { stage: StageDetail; save: (rows: readonly Row[]) => Promise<void> }) {
  const [write, setWrite] = useState('')
  const [say, setSay] = useState('')
  const [problem, setProblem] = useState<string | null>(null)
  const { sayAs, voice, rate, pitch } = stage.settings
  const listen = (row: Row) => {
    setProblem(null)
    hear({ text: row.write, voice, rate, pitch, sayAs: [row] }).catch((error: Error) => setProblem(error.message))
  }
  const add = async () => {
    const row = { write: write.trim(), say: say.trim() }
    if (row.write === '' || row.say === '') return
    await save([...sayAs.filter((one) => one.write.toLowerCase() !== row.write.toLowerCase()), row])
    listen(row)
    setWrite('')
    setSay('')
  }
  return (
    <section className="stack rule" aria-labelledby="sayas">
      <h2 id="sayas">How words are said</h2>
      <ul>
        {sayAs.map((row) => (
          <li key={row.write} className="row">
            <span>
              “{row.write}” as “{row.say}”
            </span>
            <button type="button" aria-label={`hear ${row.write}`} onClick={() => listen(row)}>
              hear
            </button>
            <button
              type="button"
              className="quiet"
              aria-label={`remove ${row.write}`}
              onClick={() => save(sayAs.filter((one) => one !== row))}
            >
              remove
            </button>
          </li>
        ))}
      </ul>
      <form
        className="row"
        onSubmit={(event) => {
          event.preventDefault()
          void add()
        }}
      >
        <label>
          Say{' '}
          <input
            type="text"
            size={10}
            value={write}
            maxLength={40}
            onChange={(event) => setWrite(event.target.value)}
          />
        </label>
        <label>
          as <input type="text" size={16} value={say} maxLength={80} onChange={(event) => setSay(event.target.value)} />
        </label>
        <button type="submit" disabled={write.trim() === '' || say.trim() === ''}>
          Add and hear
        </button>
      </form>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
    </section>
  )
}
