import { useEffect, useReducer, useState } from 'react'
import type { Credentials } from './clubLink.ts'
import { ClubSession } from './clubSession.ts'

/** What this browser keeps of a seat, so that a reload comes back to it. */
const SEAT = 'say-when.club'

export const keptToken = (kind: string): string | null => localStorage.getItem(`${SEAT}.${kind}`)
export const forgetToken = (kind: string): void => localStorage.removeItem(`${SEAT}.${kind}`)

/** A session for these credentials, made once and stopped with the page; the component draws again whenever the room changes. */
export function useClub(credentials: Credentials, kind: string, loud: boolean): ClubSession | null {
  const [session, setSession] = useState<ClubSession | null>(null)
  const [, drawAgain] = useReducer((n: number) => n + 1, 0)
  // Credentials are those of the first drawing: another join is another component.
  const [first] = useState(credentials)
  useEffect(() => {
    const made = new ClubSession(first, loud)
    const leave = made.subscribe(() => {
      if (made.link.me) localStorage.setItem(`${SEAT}.${kind}`, made.link.me.token)
      if (made.link.status === 'refused' || made.link.status === 'over') forgetToken(kind)
      drawAgain()
    })
    setSession(made)
    return () => {
      leave()
      made.stop()
    }
  }, [first, kind, loud])
  return session
}

/** Draws again `hertz` times a second: for words that follow the clock. */
export function useTicking(hertz: number): void {
  const [, drawAgain] = useReducer((n: number) => n + 1, 0)
  useEffect(() => {
    const timer = setInterval(drawAgain, 1000 / hertz)
    return () => clearInterval(timer)
  }, [hertz])
}
