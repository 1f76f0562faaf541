import { useCallback, useEffect, useState } from 'react'
import type { RoadChange, RoadChoice, RoadFileUse } from '../../server/api/wireRoad.ts'
import { request, send } from '../connection/request.ts'
import { sendRoadFile } from '../connection/roadFiles.ts'
import type { End } from '../routes/StretchView.tsx'

/** A stage's road files and what is taken from them; `changed` is called after every change that was kept. */
export function useRoad(stage: string, changed: () => void) {
  const [road, setRoad] = useState<RoadChoice | null>(null)
  const [said, setSaid] = useState('')
  const [busy, setBusy] = useState(false)
  /** Share of a file's work that is done; null while no file is coming in. */
  const [done, setDone] = useState<number | null>(null)
  const [ends, setEnds] = useState<Readonly<Record<End, number>> | null>(null)

  useEffect(() => {
    request<RoadChoice | null>(`/stages/${stage}/road/choice`).then(setRoad, (error: Error) => setSaid(error.message))
  }, [stage])

  const settle = useCallback(
    async (doing: string, work: () => Promise<RoadChoice | null>) => {
      setBusy(true)
      setSaid(doing)
      try {
        const next = await work()
        setRoad(next)
        setEnds(null)
        setSaid(next?.told ?? '')
        changed()
      } catch (error) {
        setSaid((error as Error).message)
      } finally {
        setBusy(false)
        setDone(null)
      }
    },
    [changed],
  )
  const choice = `/stages/${stage}/road`
  return {
    road,
    said,
    busy,
    done,
    ends,
    choose: setEnds,
    change: (change: RoadChange) =>
      void settle('changing the road …', () => request(`${choice}/choice`, send('PUT', change))),
    undo: () => void settle('taking it back …', () => request(`${choice}/undo`, send('POST', {}))),
    addFile: (file: File, use: RoadFileUse) =>
      void settle('', () =>
        sendRoadFile(stage, file, use, (doing, done) => {
          setSaid(`${doing} …`)
          setDone(done)
        }),
      ),
  }
}
