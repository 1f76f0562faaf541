import { type ReactNode, useRef, useState } from 'react'

interface Props {
  /** What the button says. */
  readonly button: string
  /** What the file is, for those who hear the page. */
  readonly label: string
  readonly disabled?: boolean
  readonly take: (file: File) => void
  /** Beside the button. */
  readonly children?: ReactNode
}

/** A place to drop a file on, with a button in it for those who do not drag. */
export function DropFile({ button, label, disabled = false, take, children }: Props) {
  const input = useRef<HTMLInputElement>(null)
  const [over, setOver] = useState(false)
  const first = (files: FileList | null) => {
    const file = files?.[0]
    if (file && !disabled) take(file)
  }
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping is a second way; the button in it is the first
    <div
      className={over ? 'row drop over-it' : 'row drop'}
      onDragOver={(event) => {
        event.preventDefault()
        setOver(true)
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => {
        event.preventDefault()
        setOver(false)
        first(event.dataTransfer.files)
      }}
    >
      <button type="button" disabled={disabled} onClick={() => input.current?.click()}>
        {button}
      </button>
      <input
        ref={input}
        type="file"
        hidden
        aria-label={label}
        onChange={(event) => {
          first(event.target.files)
          event.target.value = ''
        }}
      />
      {children}
    </div>
  )
}
