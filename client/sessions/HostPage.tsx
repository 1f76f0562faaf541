import { useEffect, useState } from 'react'
import type { ClubOverview } from '../../server/api/wire.ts'
import { request, send } from '../connection/request.ts'
import type { Credentials } from './clubLink.ts'
import { TrainerView } from './TrainerView.tsx'
import { forgetToken, keptToken, useClub } from './useClub.ts'

const KEY = 'say-when.club.key'

export interface KeptKey {
  readonly room: string
  readonly code: string
  readonly key: string
}

/** The evening this browser opened. */
export function keptKey(): KeptKey | null {
  try {
    return JSON.parse(localStorage.getItem(KEY) ?? 'null') as KeptKey | null
  } catch {
    return null
  }
}

/** The host's own page: opens an evening, says what opening the network means, and becomes the trainer's page; a reload comes back to it. */
export function HostPage() {
  const [kept, setKept] = useState(keptKey)
  const [overview, setOverview] = useState<ClubOverview | null>(null)
  const [problem, setProblem] = useState('')
  const [title, setTitle] = useState('Club night')
  useEffect(() => {
    request<ClubOverview>('/club').then(setOverview, (error: Error) => setProblem(error.message))
  }, [])

  async function open(): Promise<void> {
    try {
      const made = await request<KeptKey>('/club', send('POST', { title }))
      forgetToken('trainer')
      forgetToken('screen')
      localStorage.setItem(KEY, JSON.stringify(made))
      setOverview(await request<ClubOverview>('/club'))
      setKept(made)
    } catch (error) {
      setProblem((error as Error).message)
    }
  }
  async function changeLan(wanted: boolean): Promise<void> {
    try {
      setOverview(await request<ClubOverview>('/club/lan', send('PUT', { open: wanted })))
    } catch (error) {
      setProblem((error as Error).message)
    }
  }

  if (problem) {
    return (
      <main className="club">
        <p className="problem" role="alert">
          {problem}
        </p>
      </main>
    )
  }
  if (!overview) return <main className="club" aria-busy="true" />
  if (kept && overview.rooms.some((room) => room.id === kept.room)) {
    return (
      <>
        <Lan overview={overview} change={changeLan} />
        <Hosting
          kept={kept}
          over={() => {
            localStorage.removeItem(KEY)
            setKept(null)
          }}
        />
      </>
    )
  }
  return (
    <main className="club stack narrow">
      <h1>Open a club night</h1>
      <p>
        One machine shows the road, everybody’s phone keeps the same clock. No accounts: whoever has the code is in, and
        when you end the night everything of it is deleted unless you keep it.
      </p>
      <label>
        What is it called?{' '}
        <input type="text" maxLength={80} value={title} onChange={(event) => setTitle(event.target.value)} />
      </label>
      <p>
        <button type="button" onClick={() => void open()}>
          open the room
        </button>
      </p>
      <p className="caution">
        A rehearsal in a club room, never while driving on a road open to others. Speeds are targets for practice.
      </p>
    </main>
  )
}

/** The switch, and what it means, before it is thrown. */
function Lan({ overview, change }: { overview: ClubOverview; change: (open: boolean) => Promise<void> }) {
  const { lan, secure } = overview
  return (
    <section className="club lan row" aria-label="Network">
      <p>
        {lan.open
          ? 'Open to the local network: every device on it can reach the club pages and try a join code. Stages, notes and this machine’s files stay out of reach.'
          : 'Only this machine reaches the club now. Opened to the local network, every device on it can reach the club pages and try a join code; stages, notes and this machine’s files stay out of reach.'}
        {lan.open &&
          !secure &&
          ' Over plain http phones have no microphone and nothing offline; start with --cert and --key for both.'}
        {lan.open && lan.addresses.length === 0 && ' This machine has no address on a network yet.'}
      </p>
      <button type="button" onClick={() => void change(!lan.open)}>
        {lan.open ? 'close it to the network' : 'open it to the network'}
      </button>
    </section>
  )
}

function Hosting({ kept, over }: { kept: KeptKey; over: () => void }) {
  const [credentials] = useState<Credentials>(() => {
    const token = keptToken('trainer')
    return token?.startsWith(kept.room)
      ? { kind: 'resume', token }
      : { kind: 'join', code: kept.code, key: kept.key, name: 'Trainer', role: 'trainer', shown: false }
  })
  const session = useClub(credentials, 'trainer', false)
  if (!session) return null
  const { status, why, me } = session.link
  if (status === 'refused' || status === 'over') {
    return (
      <main className="club stack">
        <p role="status">{why}</p>
        <button type="button" onClick={over}>
          open another night
        </button>
      </main>
    )
  }
  if (!me) return <main className="club" aria-busy="true" />
  if (me.role !== 'trainer') {
    return (
      <main className="club stack">
        <p>You handed the evening over. The key of this browser takes it back.</p>
        <button
          type="button"
          onClick={() => {
            forgetToken('trainer')
            location.reload()
          }}
        >
          take it back
        </button>
      </main>
    )
  }
  return <TrainerView session={session} trainerKey={kept.key} />
}
