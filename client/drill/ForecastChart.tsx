import { useEffect, useRef } from 'react'
import uPlot from 'uplot'
import 'uplot/dist/uPlot.min.css'
import type { CurvePoint } from '../../server/api/learnWire.ts'
import { dayInWords, percent } from './learnWords.ts'

const HEIGHT = 210
const colour = (name: string) => getComputedStyle(document.documentElement).getPropertyValue(name).trim()
const hundred = (share: number | null) => (share === null ? null : Math.round(share * 100))

/** What is known day by day: asked and right so far, with the plan carried out, and if it were left. A canvas has no text: the table says the same. */
export default function ForecastChart({ curve }: { curve: readonly CurvePoint[] }) {
  const room = useRef<HTMLDivElement>(null)
  useEffect(() => {
    const dark = matchMedia('(prefers-color-scheme: dark)')
    let chart: uPlot | null = null
    const draw = () => {
      chart?.destroy()
      const axis = {
        stroke: colour('--soft'),
        grid: { stroke: colour('--rule'), width: 1 },
        ticks: { stroke: colour('--rule'), width: 1 },
      }
      chart = new uPlot(
        {
          width: room.current!.clientWidth,
          height: HEIGHT,
          legend: { show: false },
          cursor: { show: false },
          scales: { x: { time: false, range: [-0.3, Math.max(1, curve.length - 0.7)] }, y: { range: [0, 100] } },
          axes: [
            {
              ...axis,
              splits: () => curve.map((_, i) => i),
              values: (_, splits) => splits.map((i) => curve[i]?.date.slice(8) ?? ''),
              space: 30,
            },
            { ...axis, values: (_, splits) => splits.map((one) => `${one} %`), size: 52 },
          ],
          series: [
            {},
            { stroke: colour('--ink'), width: 0, points: { show: true, size: 10, fill: colour('--ink') } },
            { stroke: colour('--mark'), width: 3, spanGaps: true },
            { stroke: colour('--soft'), width: 2, dash: [6, 5], spanGaps: true },
          ],
        },
        [
          curve.map((_, i) => i),
          curve.map((one) => hundred(one.asked)),
          curve.map((one) => hundred(one.planned)),
          curve.map((one) => hundred(one.stopped)),
        ],
        room.current!,
      )
    }
    draw()
    const watch = new ResizeObserver(() => chart?.setSize({ width: room.current!.clientWidth, height: HEIGHT }))
    watch.observe(room.current!)
    dark.addEventListener('change', draw)
    return () => {
      watch.disconnect()
      dark.removeEventListener('change', draw)
      chart?.destroy()
    }
  }, [curve])
  const cell = (share: number | null) => (share === null ? '–' : percent(share))
  return (
    <>
      <div ref={room} aria-hidden="true" />
      <p className="small soft">
        Dots: asked a day later and right. Solid line: with the plan carried out. Dashed: if you stopped today.
      </p>
      <details>
        <summary>The same as a table</summary>
        <table>
          <thead>
            <tr>
              <th scope="col">day</th>
              <th scope="col" className="number">
                right
              </th>
              <th scope="col" className="number">
                with the plan
              </th>
              <th scope="col" className="number">
                if stopped
              </th>
            </tr>
          </thead>
          <tbody>
            {curve.map((one) => (
              <tr key={one.date}>
                <th scope="row">{dayInWords(one.date)}</th>
                <td className="number">{cell(one.asked)}</td>
                <td className="number">{cell(one.planned)}</td>
                <td className="number">{cell(one.stopped)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </details>
    </>
  )
}
