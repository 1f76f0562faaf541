import { useSyncExternalStore } from 'react'

export interface Place {
  readonly page: string
  readonly stageId: string | null
  readonly query: URLSearchParams
}

/** "/stages/ID/fit?t=12" → page fit of stage ID; "/club…" → the club; "/" → stages. */
export function readPlace(path: string, search: string): Place {
  if (/^\/club(\/|$)/.test(path)) return { page: 'club', stageId: null, query: new URLSearchParams(search) }
  const match = /^\/stages\/([a-z0-9-]+)\/([a-z-]+)\/?$/.exec(path)
  return { page: match?.[2] ?? 'stages', stageId: match?.[1] ?? null, query: new URLSearchParams(search) }
}

const listeners = new Set<() => void>()
let current = ''

function snapshot(): string {
  current = location.pathname + location.search
  return current
}

function subscribe(listener: () => void): () => void {
  listeners.add(listener)
  window.addEventListener('popstate', listener)
  return () => {
    listeners.delete(listener)
    window.removeEventListener('popstate', listener)
  }
}

export function go(path: string): void {
  if (path === location.pathname + location.search) return
  history.pushState(null, '', path)
  window.scrollTo(0, 0)
  for (const listener of listeners) listener()
}

export function usePlace(): Place {
  const at = useSyncExternalStore(subscribe, snapshot)
  const cut = at.indexOf('?')
  return cut < 0 ? readPlace(at, '') : readPlace(at.slice(0, cut), at.slice(cut))
}

/** Plain clicks on links of our own stay in the page. */
export function followLinks(event: React.MouseEvent): void {
  const link = (event.target as HTMLElement).closest('a')
  if (!link || event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey) return
  if (link.origin !== location.origin || link.target || link.hasAttribute('download')) return
  event.preventDefault()
  go(link.pathname + link.search)
}
