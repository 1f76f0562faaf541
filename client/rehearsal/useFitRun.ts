import { useCallback, useEffect, useRef, useState } from 'react'
import type { FitDocument, PlanDocument, PlanRequest, StageDetail } from '../../server/api/wire.ts'
import { changePlan, prepareSpeech, Superseded } from '../connection/live.ts'
import { request, send } from '../connection/request.ts'

/** What a crew sets on Fit and the stage keeps, so that Drive and the next visit have it too. */
const KEPT = [
  'target',
  'wording',
  'surface',
  'car',
  'rate',
  'lead',
  'reaction',
  'waiting',
  'ahead',
  'leftOut',
  'limits',
  'pace',
] as const
/** A moving slider is one step for undo, and is saved and compared once it rests, ms. */
const ONE_STEP_MS = 900
const SAVE_AFTER_MS = 500
const COMPARE_AFTER_MS = 250
const FULL_AFTER_MS = 150

type Asked = PlanRequest

/** The stage's own settings as they were when the page was opened. */
const keptOf = (stage: StageDetail | null): PlanRequest =>
  stage === null ? {} : Object.fromEntries(KEPT.map((key) => [key, stage.settings[key]]))

/** The run a crew is fitting: asked for, planned at once, then on the voice; compared in every wording; kept with the stage; undone. */
export function useFitRun(stageId: string, stage: StageDetail | null) {
  const [asked, setAsked] = useState<Asked>({})
  const [plan, setPlan] = useState<PlanDocument | null>(null)
  const [fit, setFit] = useState<FitDocument | null>(null)
  const [progress, setProgress] = useState<{ done: number; total: number } | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [past, setPast] = useState<readonly Asked[]>([])
  const unsaved = useRef<(() => void) | null>(null)
  const lastStep = useRef({ at: 0, keys: '' })

  // At once on what is known; explained, with ways out, once the slider rests; then on the voice that will be heard.
  useEffect(() => {
    let alive = true
    let rest: ReturnType<typeof setTimeout> | undefined
    const failed = (error: Error) => {
      if (alive && !(error instanceof Superseded)) setProblem(error.message)
    }
    const full = async (): Promise<void> => {
      const first = await changePlan(stageId, { ...asked, full: true })
      if (!alive) return
      setPlan(first)
      if (first.speech !== 'estimated') return
      const voiced = await prepareSpeech(
        stageId,
        { ...asked, full: true },
        (done, total) => alive && setProgress({ done, total }),
      ).finally(() => setProgress(null))
      if (alive) setPlan(voiced)
    }
    changePlan(stageId, asked).then((quick) => {
      if (!alive) return
      setPlan(quick)
      setProblem(null)
      rest = setTimeout(() => void full().catch(failed), FULL_AFTER_MS)
    }, failed)
    return () => {
      alive = false
      clearTimeout(rest)
    }
  }, [stageId, asked])

  const settled = plan && plan.speech !== 'estimated' ? plan.run.averageSpeed : null
  useEffect(() => {
    if (settled === null) return
    const { target: _, wording: __, ...others } = asked
    const wait = setTimeout(() => {
      request<FitDocument>(
        `/stages/${stageId}/fit`,
        send('POST', { ...others, target: { kind: 'average', speed: settled } }),
      ).then(setFit, () => setFit(null))
    }, COMPARE_AFTER_MS)
    return () => clearTimeout(wait)
  }, [stageId, settled, asked])

  // Saved once the crew rests, and at once when the page is left: nothing agreed is lost to a quick hand.
  useEffect(() => {
    if (!stage || Object.keys(asked).length === 0) return
    const settings = {
      ...keptOf(stage),
      ...Object.fromEntries(KEPT.filter((key) => key in asked).map((key) => [key, asked[key]])),
    }
    let saved = false
    const save = () => {
      if (saved) return
      saved = true
      request(`/stages/${stageId}`, { ...send('PATCH', { settings }), keepalive: true }).catch((error: Error) =>
        setProblem(error.message),
      )
    }
    unsaved.current = save
    const wait = setTimeout(save, SAVE_AFTER_MS)
    addEventListener('pagehide', save)
    return () => {
      clearTimeout(wait)
      removeEventListener('pagehide', save)
    }
  }, [stageId, stage, asked])
  useEffect(() => () => unsaved.current?.(), [])

  const ask = useCallback(
    (change: PlanRequest) => {
      const keys = Object.keys(change).sort().join()
      const now = performance.now()
      const same = keys === lastStep.current.keys && now - lastStep.current.at < ONE_STEP_MS
      lastStep.current = { at: now, keys }
      if (!same) setPast((before) => [...before, asked])
      setAsked((before) => ({ ...before, ...change }))
    },
    [asked],
  )
  const undo = useCallback(() => {
    const before = past.at(-1)
    if (!before) return false
    lastStep.current = { at: 0, keys: '' }
    setPast(past.slice(0, -1))
    // Keys that were not set then are asked for as the stage had them, so that what was kept since is taken back too.
    setAsked({ ...keptOf(stage), ...before })
    return true
  }, [past, stage])

  return { asked, plan, fit, progress, problem, ask, undo, canUndo: past.length > 0 }
}
