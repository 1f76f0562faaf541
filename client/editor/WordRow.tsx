import type { CrewRow } from './crewRows.ts'

/** One row of the crew's own table, with what is wrong with it or what it takes the place of. */
export function WordRow({
  number,
  row,
  problem,
  notice,
  change,
  remove,
}: {
  number: number
  row: CrewRow
  problem: string | null
  notice: string | null
  change: (row: CrewRow) => void
  /** Null for the empty row at the end. */
  remove: (() => void) | null
}) {
  const says = `words-row-${number}`
  const field = (name: keyof CrewRow, label: string, most: number, list?: string) => (
    <label>
      <span className="narrow-only small soft">{label}</span>
      <input
        type="text"
        value={row[name]}
        maxLength={most}
        aria-label={`${label}, row ${number}`}
        aria-invalid={problem !== null && name !== 'spoken'}
        aria-describedby={problem || notice ? says : undefined}
        spellCheck={false}
        autoCapitalize="off"
        autoComplete="off"
        {...(list ? { list } : {})}
        onChange={(event) => change({ ...row, [name]: event.target.value })}
      />
    </label>
  )
  return (
    <div className="words-row">
      {field('forms', 'you write', 400)}
      {field('means', 'stands for', 60, 'built-in-words')}
      {field('spoken', 'said as', 80)}
      <button
        type="button"
        className="quiet"
        aria-label={`remove row ${number}`}
        disabled={remove === null}
        onClick={() => remove?.()}
      >
        remove
      </button>
      <p id={says} className={problem ? 'small over' : 'small soft'} role={problem ? 'alert' : undefined}>
        {problem ?? notice ?? ' '}
      </p>
    </div>
  )
}
