import { useState } from 'react'
import type { Credentials } from './clubLink.ts'

const ROLES = [
  ['co-driver', 'co-driver', 'reads, taps, answers'],
  ['driver', 'driver', 'listens'],
  ['watcher', 'watcher', 'looks on'],
] as const

/** Code, name and role. The press that joins is also what lets the page make sound. */
export function JoinForm({
  code,
  problem,
  join,
}: {
  code: string
  problem: string
  join: (credentials: Credentials) => void
}) {
  const [typed, setTyped] = useState(code.toUpperCase())
  const [name, setName] = useState('')
  const [crew, setCrew] = useState('')
  const [role, setRole] = useState<(typeof ROLES)[number][0]>('co-driver')
  const [shown, setShown] = useState(false)
  const [key, setKey] = useState('')
  return (
    <main className="club">
      <form
        className="stack join"
        onSubmit={(event) => {
          event.preventDefault()
          join({
            kind: 'join',
            code: typed,
            name,
            role: key === '' ? role : 'trainer',
            shown,
            ...(crew.trim() === '' ? {} : { crew }),
            ...(key === '' ? {} : { key }),
          })
        }}
      >
        <h1>Join the club night</h1>
        {problem && (
          <p className="problem" role="alert">
            {problem}
          </p>
        )}
        <label>
          Code on the screen
          <input
            type="text"
            className="code"
            required
            minLength={4}
            maxLength={9}
            autoComplete="off"
            autoCapitalize="characters"
            value={typed}
            onChange={(event) => setTyped(event.target.value.toUpperCase())}
          />
        </label>
        <label>
          Your name
          <input type="text" maxLength={80} value={name} onChange={(event) => setName(event.target.value)} />
        </label>
        <label>
          Crew (both of you type the same)
          <input type="text" maxLength={80} value={crew} onChange={(event) => setCrew(event.target.value)} />
        </label>
        <fieldset>
          <legend>You are a</legend>
          {ROLES.map(([value, label, does]) => (
            <label key={value} className="choice">
              <input type="radio" name="role" checked={role === value} onChange={() => setRole(value)} />
              <span>
                {label} <span className="soft">{does}</span>
              </span>
            </label>
          ))}
        </fieldset>
        <label className="choice">
          <input type="checkbox" checked={shown} onChange={(event) => setShown(event.target.checked)} />
          <span>
            Show my results under my name on the board. Without this they count, but nobody sees whose they are.
          </span>
        </label>
        <button type="submit" className="big">
          join
        </button>
        <p className="small soft">Your name is shown to the room while you are in it.</p>
        {!isSecureContext && (
          <p className="small soft">
            This page came over plain http: browsers then give it no microphone and nothing offline. Taps work; the host
            can start with a certificate (--cert, --key) for the rest.
          </p>
        )}
        <details>
          <summary>I have the trainer key</summary>
          <label>
            Trainer key
            <input
              type="text"
              maxLength={80}
              autoComplete="off"
              value={key}
              onChange={(event) => setKey(event.target.value)}
            />
          </label>
        </details>
      </form>
    </main>
  )
}
