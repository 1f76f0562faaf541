import { type ComponentType, type LazyExoticComponent, lazy } from 'react'

export interface PageProps {
  readonly stageId: string
  readonly query: URLSearchParams
}

export interface Page {
  readonly id: string
  readonly title: string
  /** Reached from another page, not from the row of pages. */
  readonly within?: true
  readonly component: LazyExoticComponent<ComponentType<PageProps>>
}

/** Pages of a stage, each loaded when it is opened; the 3D road comes only with Drive. */
export const PAGES: readonly Page[] = [
  { id: 'write', title: 'Write', component: lazy(() => import('../editor/WritePage.tsx')) },
  { id: 'words', title: 'Own words', within: true, component: lazy(() => import('../editor/WordsPage.tsx')) },
  { id: 'fit', title: 'Fit', component: lazy(() => import('../rehearsal/FitPage.tsx')) },
  { id: 'drive', title: 'Drive', component: lazy(() => import('../rehearsal/DrivePage.tsx')) },
  { id: 'learn', title: 'Learn', component: lazy(() => import('../drill/LearnPage.tsx')) },
  { id: 'read', title: 'Read aloud', component: lazy(() => import('../rehearsal/reading/ReadPage.tsx')) },
  { id: 'results', title: 'Results', component: lazy(() => import('../rehearsal/reading/ResultsPage.tsx')) },
  { id: 'voices', title: 'Voices', component: lazy(() => import('../takealong/VoicesPage.tsx')) },
  { id: 'take-along', title: 'Take along', component: lazy(() => import('../takealong/TakeAlongPage.tsx')) },
]
