import { useMemo } from 'react'
import type { TakesView } from '../../../server/api/wireTakes.ts'
import { WideTable } from '../../look/WideTable.tsx'
import { speedInWords, type Units } from '../../look/words.ts'
import { LineChart } from './LineChart.tsx'
import { dayOf, secondsInWords } from './takeInWords.ts'

/** Progress by day and pace against target speed: each drawn, each with its table. */
export function Progress({ view, units }: { view: TakesView; units: Units }) {
  const days = useMemo(() => {
    const byDay = new Map<
      string,
      { at: number; inWindow: number; reached: number; late: number; takes: number; offs: number[] }
    >()
    for (const { startedAt, score, kind } of view.takes) {
      if (kind !== 'read' || score === null || score.doubt !== null) continue
      const day = dayOf(startedAt)
      const entry = byDay.get(day) ?? { at: startedAt, inWindow: 0, reached: 0, late: 0, takes: 0, offs: [] }
      entry.inWindow += score.inWindow
      entry.reached += score.reached
      entry.late += score.counts.late
      entry.takes++
      if (score.medianOff !== null) entry.offs.push(score.medianOff)
      byDay.set(day, entry)
    }
    return [...byDay].map(([day, entry]) => ({
      day,
      ...entry,
      share: (100 * entry.inWindow) / Math.max(1, entry.reached),
    }))
  }, [view])
  const pace = view.report.paceBySpeed
  const dayX = useMemo(() => days.map((one) => one.at), [days])
  const dayY = useMemo(() => days.map((one) => one.share), [days])
  const byMiles = units === 'miles'
  const bySpeed = useMemo(() => [...pace].sort((a, b) => a.averageSpeed - b.averageSpeed), [pace])
  const paceX = useMemo(
    () => bySpeed.map((one) => (one.averageSpeed * 3600) / (byMiles ? 1609.344 : 1000)),
    [bySpeed, byMiles],
  )
  const paceY = useMemo(() => bySpeed.map((one) => one.syllablesPerSecond), [bySpeed])
  if (days.length === 0) return null
  return (
    <div className="pair">
      <section>
        <h2>Day by day</h2>
        {days.length > 1 && (
          <LineChart
            label="Calls in their window, per cent, by day"
            x={dayX}
            y={dayY}
            time
            xLabel="day"
            yLabel="in window, %"
            joined
          />
        )}
        <WideTable label="Day by day">
          <table>
            <thead>
              <tr>
                <th>day</th>
                <th className="number">takes</th>
                <th className="number">in window</th>
                <th className="number">late calls</th>
                <th className="number">usual start</th>
              </tr>
            </thead>
            <tbody>
              {days.map((one) => (
                <tr key={one.day}>
                  <td>{one.day}</td>
                  <td className="number">{one.takes}</td>
                  <td className="number">{Math.round(one.share)} %</td>
                  <td className="number">{one.late}</td>
                  <td className="number">
                    {one.offs.length > 0 ? secondsInWords(one.offs.reduce((a, b) => a + b, 0) / one.offs.length) : ''}
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </WideTable>
      </section>
      <section>
        <h2>Pace against speed</h2>
        {pace.length > 1 && (
          <LineChart
            label="Syllables a second against target speed"
            x={paceX}
            y={paceY}
            time={false}
            xLabel={byMiles ? 'average, mph' : 'average, km/h'}
            yLabel="syllables a second"
            joined={false}
          />
        )}
        <WideTable label="Pace of each take">
          <table>
            <thead>
              <tr>
                <th>take</th>
                <th className="number">average</th>
                <th className="number">syllables a second</th>
              </tr>
            </thead>
            <tbody>
              {pace.slice(-10).map((one) => (
                <tr key={one.startedAt}>
                  <td>{dayOf(one.startedAt)}</td>
                  <td className="number">{speedInWords(one.averageSpeed, units)}</td>
                  <td className="number">{one.syllablesPerSecond.toFixed(2)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </WideTable>
      </section>
    </div>
  )
}
