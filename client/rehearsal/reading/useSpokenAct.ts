import { useEffect, useRef, useState } from 'react'
import { type Microphone, openMicrophone } from '../../microphone/microphone.ts'
import type { WebSoundCard } from '../../playback/soundCard.ts'

/** Acting by voice: every start of speech that the microphone hears is a press. */
export function useSpokenAct(
  card: WebSoundCard,
  act: () => void,
): { readonly on: boolean; readonly problem: string | null; readonly turn: () => void } {
  const [microphone, setMicrophone] = useState<Microphone | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const now = useRef(act)
  now.current = act
  useEffect(() => () => microphone?.close(), [microphone])
  const turn = () => {
    if (microphone) return setMicrophone(null)
    setProblem(null)
    void card
      .resume()
      .then(() => openMicrophone(card.context, null))
      .then((opened) => {
        let speaking = false
        opened.onLevel = (report) => {
          if (report.speaking && !speaking) now.current()
          speaking = report.speaking
        }
        opened.onGone = () => {
          setProblem(`"${opened.device}" is gone: unplugged, or taken away. Press space instead.`)
          setMicrophone(null)
        }
        setMicrophone(opened)
      })
      .catch((error: Error) => setProblem(error.message))
  }
  return { on: microphone !== null, problem, turn }
}
