import { useRef, useState } from 'react'
import { takeCaptions } from '../connection/takeCaptions.ts'

/** Captions of a spoken stage (WebVTT, SubRip) as the notes; the times are kept with the stage. */
export function CaptionsButton({ stageId, take }: { stageId: string; take: (text: string) => void }) {
  const input = useRef<HTMLInputElement>(null)
  const [says, setSays] = useState('')
  const [problem, setProblem] = useState<string | null>(null)
  const read = async (file: File) => {
    setSays('')
    setProblem(null)
    try {
      const { text, cues, fault, faults } = await takeCaptions(stageId, file)
      take(text)
      const lost = fault === null ? '' : ` ${faults === 1 ? 'One fault' : `${faults} faults`}: ${fault}.`
      setSays(`${cues} captions are the notes now; one undo brings back what was there.${lost}`)
    } catch (error) {
      setProblem((error as Error).message)
    }
  }
  return (
    <>
      <button type="button" onClick={() => input.current?.click()} title="WebVTT or SubRip of a stage that was spoken">
        read captions
      </button>
      <input
        ref={input}
        type="file"
        accept=".vtt,.srt"
        hidden
        aria-label="Captions file"
        onChange={(event) => {
          const file = event.target.files?.[0]
          event.target.value = ''
          if (file) void read(file)
        }}
      />
      <span className="small soft" role="status">
        {says}
      </span>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
    </>
  )
}
