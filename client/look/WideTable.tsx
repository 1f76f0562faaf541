import type { ReactNode } from 'react'

/** A table that may be wider than the page: it scrolls by itself, by keyboard too. */
export function WideTable({ label, children }: { label: string; children: ReactNode }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls must be reached by keyboard (WCAG 2.1.1)
    <section className="scroll" tabIndex={0} aria-label={label}>
      {children}
    </section>
  )
}
