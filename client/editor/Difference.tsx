import { MergeView } from '@codemirror/merge'
import { EditorState } from '@codemirror/state'
import { EditorView } from '@codemirror/view'
import { useEffect, useRef } from 'react'

const STILL = [EditorState.readOnly.of(true), EditorView.editable.of(false), EditorView.lineWrapping]

/** Two texts side by side with what differs marked, the long parts that are the same folded away. */
export function Difference({ before, after, label }: { before: string; after: string; label: string }) {
  const host = useRef<HTMLDivElement>(null)
  useEffect(() => {
    const merge = new MergeView({
      a: { doc: before, extensions: STILL },
      b: { doc: after, extensions: STILL },
      parent: host.current!,
      collapseUnchanged: { margin: 2, minSize: 4 },
    })
    return () => merge.destroy()
  }, [before, after])
  return <section ref={host} className="difference" aria-label={label} />
}
