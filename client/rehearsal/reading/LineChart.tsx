import { useEffect, useRef, useSyncExternalStore } from 'react'
import uPlot from 'uplot'
import 'uplot/dist/uPlot.min.css'

const darkness = () => matchMedia('(prefers-color-scheme: dark)')
const onDarkness = (changed: () => void) => {
  const query = darkness()
  query.addEventListener('change', changed)
  return () => query.removeEventListener('change', changed)
}

/** Points against a number or a day, by uplot. A canvas has no text: every use puts a table beside it. */
export function LineChart(q: {
  label: string
  x: readonly number[]
  y: readonly (number | null)[]
  time: boolean
  xLabel: string
  yLabel: string
  joined: boolean
}) {
  const dark = useSyncExternalStore(onDarkness, () => darkness().matches)
  const box = useRef<HTMLDivElement>(null)
  const { label, x, y, time, xLabel, yLabel, joined } = q
  // biome-ignore lint/correctness/useExhaustiveDependencies: a canvas keeps the colours it was drawn in
  useEffect(() => {
    const element = box.current!
    const style = getComputedStyle(element)
    const [ink, soft, rule] = ['--ink', '--soft', '--rule'].map((name) => style.getPropertyValue(name).trim()) as [
      string,
      string,
      string,
    ]
    const axis = { stroke: soft, grid: { stroke: rule, width: 1 }, ticks: { stroke: rule }, labelSize: 22 }
    const chart = new uPlot(
      {
        width: element.clientWidth || 400,
        height: 220,
        legend: { show: false },
        scales: { x: { time } },
        axes: [
          { ...axis, label: xLabel },
          { ...axis, label: yLabel },
        ],
        series: [
          {},
          {
            stroke: ink,
            width: joined ? 2 : 0,
            points: { show: true, size: 7, stroke: ink, fill: ink },
            ...(joined ? {} : { paths: () => null }),
          },
        ],
      },
      [[...x], [...y]],
      element,
    )
    const observer = new ResizeObserver(() => chart.setSize({ width: element.clientWidth, height: 220 }))
    observer.observe(element)
    return () => {
      observer.disconnect()
      chart.destroy()
    }
  }, [x, y, time, xLabel, yLabel, joined, dark])
  return <div ref={box} className="chart" role="img" aria-label={label} />
}
