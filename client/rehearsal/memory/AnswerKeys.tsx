import { useEffect, useRef, useState } from 'react'
import type { MemoryRide } from './memoryRide.ts'
import type { Grade } from './rideDoors.ts'

const GRADES: readonly { readonly key: string; readonly grade: Grade }[] = [
  { key: '1', grade: 'in time' },
  { key: '2', grade: 'late' },
  { key: '3', grade: 'no' },
]
/** As many places as there are choices, so that nothing moves when they change; letters, since calls begin with figures. */
const PLACES = ['a', 'b', 'c', 'd']

/** What is pressed, typed or chosen in a ride from memory; every key has its button. */
export function AnswerKeys({ ride }: { ride: MemoryRide }) {
  const asked = ride.asked()
  const chooses = asked === 'choose' || (asked === 'check' && ride.claimed !== null)
  const due = ride.due()
  const open = due !== null && !ride.isNew(due) && !ride.answered()
  const choices = open ? due.choices : []
  const ratable = ride.given !== null && ride.given.position === ride.said && ride.given.how !== 'voice'

  useEffect(() => {
    const keys = (event: KeyboardEvent) => {
      const tag = event.target instanceof HTMLElement ? event.target.tagName : ''
      if (/^(INPUT|SELECT|TEXTAREA)$/.test(tag) || event.ctrlKey || event.metaKey || event.altKey) return
      const choice = choices[PLACES.indexOf(event.key)]
      const judged = GRADES.find(({ key }) => key === event.key)
      if (ratable && event.key === 'e') ride.rate(false)
      else if (ratable && event.key === 'h') ride.rate(true)
      else if (asked === 'check' && ride.claimed === null && open && (event.key === 'y' || event.key === 'n'))
        ride.claim(event.key === 'y')
      else if (chooses && choice !== undefined) ride.give(choice)
      else if (!chooses && asked !== 'check' && judged) ride.judge(judged.grade)
      else return
      event.preventDefault()
    }
    addEventListener('keydown', keys)
    return () => removeEventListener('keydown', keys)
  })

  return (
    <div className="answer">
      {asked === 'type' ? (
        <TypeIt ride={ride} open={open} />
      ) : chooses ? (
        <div className="row choices">
          {PLACES.map((key, i) => (
            <button
              key={key}
              type="button"
              aria-keyshortcuts={key}
              disabled={choices[i] === undefined}
              onClick={() => ride.give(choices[i]!)}
            >
              <span className="key">{key}</span> {choices[i] ?? ''}
            </button>
          ))}
        </div>
      ) : asked === 'check' ? (
        <div className="row">
          <span>This one is checked. Do you know it?</span>
          <button type="button" aria-keyshortcuts="y" disabled={!open} onClick={() => ride.claim(true)}>
            y yes
          </button>
          <button type="button" aria-keyshortcuts="n" disabled={!open} onClick={() => ride.claim(false)}>
            n no
          </button>
        </div>
      ) : (
        <div className="row">
          {GRADES.map(({ key, grade }) => (
            <button
              key={key}
              type="button"
              aria-keyshortcuts={key}
              disabled={ride.said < 0}
              onClick={() => ride.judge(grade)}
            >
              {key} {grade}
            </button>
          ))}
        </div>
      )}
      {(asked === 'type' || asked === 'choose' || asked === 'check') && (
        <div className="row rate">
          <button type="button" aria-keyshortcuts="e" disabled={!ratable} onClick={() => ride.rate(false)}>
            e easy
          </button>
          <button type="button" aria-keyshortcuts="h" disabled={!ratable} onClick={() => ride.rate(true)}>
            h hard
          </button>
        </div>
      )}
    </div>
  )
}

function TypeIt({ ride, open }: { ride: MemoryRide; open: boolean }) {
  const [typed, setTyped] = useState('')
  const field = useRef<HTMLInputElement>(null)
  useEffect(() => field.current?.focus(), [])
  return (
    <form
      className="row"
      onSubmit={(event) => {
        event.preventDefault()
        if (!open || typed.trim() === '') return
        ride.give(typed.trim())
        setTyped('')
      }}
    >
      <label>
        The call{' '}
        <input
          ref={field}
          type="text"
          autoComplete="off"
          value={typed}
          onChange={(event) => setTyped(event.target.value)}
        />
      </label>
      <button type="submit" disabled={!open}>
        answer
      </button>
    </form>
  )
}
