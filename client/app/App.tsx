import { lazy, Suspense, useEffect, useState } from 'react'
import type { StageDetail } from '../../server/api/wire.ts'
import { request } from '../connection/request.ts'
import { StagesPage } from '../library/StagesPage.tsx'
import { PAGES } from './pages.ts'
import { followLinks, go, type Place, usePlace } from './router.ts'

const LAST_STAGE = 'say-when.stage'

const ClubPage = lazy(() => import('../sessions/ClubPage.tsx'))

export function App() {
  const place = usePlace()
  return place.page === 'club' ? <ClubShell path={location.pathname} /> : <StageShell place={place} />
}

/** The club stands by itself: phones reach nothing but it. */
function ClubShell({ path }: { path: string }) {
  useEffect(() => {
    document.title = 'Club · Say When'
  }, [])
  return (
    <div className={path === '/club/screen' ? 'dusk shell' : 'shell'}>
      <Suspense fallback={<main aria-busy="true">Opening the club …</main>}>
        <ClubPage path={path} />
      </Suspense>
    </div>
  )
}

function StageShell({ place }: { place: Place }) {
  const stageId = place.stageId ?? localStorage.getItem(LAST_STAGE)
  const [title, setTitle] = useState<string | null>(null)
  const page = PAGES.find((one) => one.id === place.page && place.stageId !== null)

  useEffect(() => {
    if (place.stageId) localStorage.setItem(LAST_STAGE, place.stageId)
  }, [place.stageId])

  useEffect(() => {
    setTitle(null)
    if (!stageId) return
    let alive = true
    request<StageDetail>(`/stages/${stageId}`).then(
      (stage) => alive && setTitle(stage.title),
      () => {
        if (!alive) return
        localStorage.removeItem(LAST_STAGE)
      },
    )
    return () => {
      alive = false
    }
  }, [stageId])

  useEffect(() => {
    document.title = `${page ? `${page.title} · ${title ?? 'stage'} · ` : ''}Say When`
  }, [page, title])

  // biome-ignore lint/correctness/useExhaustiveDependencies: the page's own link is there once the title is
  useEffect(() => {
    const here = document.querySelector('.top [aria-current="page"]')
    here?.scrollIntoView({ block: 'nearest', inline: 'center' })
  }, [page, title])

  return (
    // biome-ignore lint/a11y/useKeyWithClickEvents: links inside answer the keyboard themselves
    // biome-ignore lint/a11y/noStaticElementInteractions: it only keeps clicks on links in the page
    <div onClick={followLinks} className={page?.id === 'drive' || page?.id === 'read' ? 'dusk shell' : 'shell'}>
      <header className="top">
        <strong>Say When</strong>
        <nav aria-label="Pages">
          <a href="/" aria-current={page ? undefined : 'page'}>
            Stages
          </a>
          {title !== null &&
            PAGES.filter((one) => !one.within).map((one) => (
              <a key={one.id} href={`/stages/${stageId}/${one.id}`} aria-current={one === page ? 'page' : undefined}>
                {one.title}
              </a>
            ))}
          <a href="/club/host">Club</a>
        </nav>
        <span className="where">{title ?? ' '}</span>
      </header>
      {page ? (
        <Suspense fallback={<main aria-busy="true">Opening {page.title} …</main>}>
          <page.component key={place.stageId} stageId={place.stageId!} query={place.query} />
        </Suspense>
      ) : (
        <StagesPage open={(id, to) => go(`/stages/${id}/${to}`)} />
      )}
    </div>
  )
}
