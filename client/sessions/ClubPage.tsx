import { useState } from 'react'
import type { Credentials } from './clubLink.ts'
import { HostPage, keptKey } from './HostPage.tsx'
import { JoinForm } from './JoinForm.tsx'
import { PhoneView } from './PhoneView.tsx'
import { Projector } from './Projector.tsx'
import { TrainerView } from './TrainerView.tsx'
import { forgetToken, keptToken, useClub } from './useClub.ts'
import './club.css'

/** /club joins, /club/CODE joins with the code filled in, /club/host opens an evening, /club/screen is what the projector shows. */
export default function ClubPage({ path }: { path: string }) {
  const rest = path.replace(/^\/club\/?/, '')
  if (rest === 'host') return <HostPage />
  if (rest === 'screen') return <Screen />
  return <Seat code={rest.replace(/[^a-zA-Z]/g, '').slice(0, 6)} />
}

function Seat({ code }: { code: string }) {
  const [credentials, setCredentials] = useState<Credentials | null>(() => {
    const token = keptToken('seat')
    return token === null ? null : { kind: 'resume', token }
  })
  const [problem, setProblem] = useState('')
  if (credentials === null) return <JoinForm code={code} problem={problem} join={setCredentials} />
  return (
    <Seated
      credentials={credentials}
      left={(why) => {
        forgetToken('seat')
        setProblem(why)
        setCredentials(null)
      }}
    />
  )
}

function Seated({ credentials, left }: { credentials: Credentials; left: (why: string) => void }) {
  const session = useClub(credentials, 'seat', true)
  const link = session?.link
  if (!session || !link || (link.status === 'joining' && !link.me)) {
    return (
      <main className="club" aria-busy="true">
        <p role="status">Joining …</p>
      </main>
    )
  }
  if (link.status === 'refused' || link.status === 'over') {
    return (
      <main className="club stack">
        <p className="problem" role="alert">
          {link.why}
        </p>
        <button type="button" onClick={() => left(link.why)}>
          join again
        </button>
      </main>
    )
  }
  return link.me?.role === 'trainer' ? <TrainerView session={session} /> : <PhoneView session={session} />
}

/** The projector takes a watcher's seat of its own, with the key that the host's browser keeps. */
function Screen() {
  const [credentials] = useState<Credentials | null>(() => {
    const token = keptToken('screen')
    if (token !== null) return { kind: 'resume', token }
    const kept = keptKey()
    return kept && { kind: 'join', code: kept.code, key: kept.key, name: 'Screen', role: 'watcher', shown: false }
  })
  if (credentials === null) {
    return (
      <main className="club">
        <p className="problem">
          Open the evening in this browser first, at /club/host; then open the screen from there.
        </p>
      </main>
    )
  }
  return <ScreenSeat credentials={credentials} />
}

function ScreenSeat({ credentials }: { credentials: Credentials }) {
  const session = useClub(credentials, 'screen', false)
  if (!session) return null
  const { status, why } = session.link
  if (status === 'refused' || status === 'over') {
    return (
      <main className="club">
        <p className="problem">{why} Open the screen again from the trainer’s page.</p>
      </main>
    )
  }
  return <Projector session={session} />
}
