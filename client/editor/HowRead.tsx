import type { StageDetail } from '../../server/api/wire.ts'
import type { GradeSystem, ParsedNotes } from '../../server/notes/notes.ts'

type Settings = StageDetail['settings']
type Change = Partial<Pick<Settings, 'gradeSystem' | 'dictated' | 'distances'>>

/** How the notes were read, and why: each may be said by the crew instead, and stays with the stage. */
export function HowRead({
  notes,
  settings,
  change,
}: {
  notes: ParsedNotes['notes']
  settings: Settings
  change: (settings: Change) => void
}) {
  const { system, reasons, dictated } = notes
  const given = settings.gradeSystem ?? {}
  const set = (key: keyof GradeSystem, value: string | number | null) => {
    const { [key]: _, ...others } = given
    change({ gradeSystem: value === null ? others : { ...others, [key]: value } })
  }
  const why = (about: string) => reasons.filter((reason) => reason.about === about).map(({ says }) => says)
  const rows: readonly Row[] = [
    {
      name: 'fastest',
      given: given.fastest ?? null,
      read: system.fastest,
      choices: [
        ['high', `${system.scale}`],
        ['low', '1'],
      ],
      set: (value) => set('fastest', value),
      why: why('fastest'),
    },
    {
      name: 'grades go to',
      given: given.scale === undefined ? null : String(given.scale),
      read: String(system.scale),
      choices: [
        ['6', '6'],
        ['9', '9'],
      ],
      set: (value) => set('scale', value === null ? null : Number(value)),
      why: why('scale'),
    },
    {
      name: 'corners are graded in',
      given: given.style ?? null,
      read: system.style,
      choices: [
        ['numbers', 'numbers'],
        ['words', 'words'],
        ['degrees', 'angles'],
      ],
      set: (value) => set('style', value),
      why: why('style'),
    },
    {
      name: 'the side comes',
      given: given.order ?? null,
      read: system.order,
      choices: [
        ['grade-first', 'after the grade'],
        ['side-first', 'before the grade'],
      ],
      set: (value) => set('order', value),
      why: why('order'),
    },
    {
      name: 'the notes were',
      given: yesOrNo(settings.dictated ?? null),
      read: dictated ? 'yes' : 'no',
      choices: [
        ['no', 'typed'],
        ['yes', 'dictated'],
      ],
      set: (value) => change({ dictated: value === null ? null : value === 'yes' }),
      why: [],
    },
    {
      name: 'distances are in',
      given: settings.distances ?? null,
      read: null,
      choices: [
        ['metres', 'metres'],
        ['yards', 'yards'],
      ],
      set: (value) => change({ distances: value as Settings['distances'] }),
      why: [],
    },
  ]
  return (
    <>
      <FastestAsked notes={notes} known={given.fastest !== undefined} say={(fastest) => set('fastest', fastest)} />
      <details>
        <summary>How it was read</summary>
        <ul className="small how-read">
          {rows.map((row) => (
            <HowRow key={row.name} row={row} />
          ))}
        </ul>
      </details>
    </>
  )
}

interface Row {
  readonly name: string
  /** What the crew said; null: as the text shows it. */
  readonly given: string | null
  readonly read: string | null
  readonly choices: readonly (readonly [string, string])[]
  readonly set: (value: string | null) => void
  readonly why: readonly string[]
}

function HowRow({ row }: { row: Row }) {
  const read = row.choices.find(([value]) => value === row.read)?.[1]
  return (
    <li>
      <label>
        {row.name}{' '}
        <select value={row.given ?? ''} onChange={(event) => row.set(event.target.value || null)}>
          <option value="">
            {read === undefined || row.given !== null ? 'as the text shows' : `${read}, as the text shows`}
          </option>
          {row.choices.map(([value, label]) => (
            <option key={value} value={value}>
              {label}
            </option>
          ))}
        </select>
      </label>
      {row.given === null && row.why.length > 0 && <span className="soft"> {row.why.join(' ')}</span>}
    </li>
  )
}

/** Below even odds of e the crew is asked which number is fastest, rather than guessed about. */
const SURE = 1

function FastestAsked({
  notes,
  known,
  say,
}: {
  notes: ParsedNotes['notes']
  known: boolean
  say: (fastest: 'high' | 'low') => void
}) {
  const { system, reasons, calls } = notes
  const open = reasons.some(({ about, odds }) => about === 'fastest' && odds < SURE)
  const numbered = calls.some((call) =>
    call.elements.some(({ meaning }) => meaning.is === 'corner' && /^[1-9](?!\d|.*°)/.test(meaning.grade?.name ?? '')),
  )
  if (known || !open || !numbered) return null
  return (
    <p className="row small" role="note">
      <span>
        Which number is your fastest corner? Nothing here shows it; read as{' '}
        {system.fastest === 'high' ? system.scale : 1}.
      </span>
      <button type="button" onClick={() => say('high')}>
        {system.scale} is fastest
      </button>
      <button type="button" onClick={() => say('low')}>
        1 is fastest
      </button>
    </p>
  )
}

const yesOrNo = (value: boolean | null) => (value === null ? null : value ? 'yes' : 'no')
