import { useEffect, useRef } from 'react'
import type { RoadTable } from '../../server/api/wire.ts'
import { type RoadPoint, roadPoint } from './roadLookup.ts'

const SCALE = 2.2 // pixels a metre
const AHEAD = 0.68 // where the car stands, share of the height from above
/** The plan is turned in steps, not swept, where motion is to be spared. */
const BEHIND = 120
const BEYOND = 420

/** The plan view that moves instead of the eye: without WebGL, or where motion is to be spared. North is up; the road slides under the car. */
export function PlanRide({
  road,
  marks,
  stationNow,
}: {
  road: RoadTable
  marks: readonly number[]
  stationNow: () => number
}) {
  const canvas = useRef<HTMLCanvasElement>(null)
  useEffect(() => {
    const context = canvas.current!.getContext('2d')!
    const point: RoadPoint = { x: 0, y: 0, z: 0, heading: 0 }
    let frame = 0
    const draw = () => {
      const { clientWidth: width, clientHeight: height } = canvas.current!
      const ratio = Math.min(2, devicePixelRatio)
      if (canvas.current!.width !== Math.round(width * ratio)) {
        canvas.current!.width = Math.round(width * ratio)
        canvas.current!.height = Math.round(height * ratio)
      }
      context.setTransform(ratio, 0, 0, ratio, 0, 0)
      context.fillStyle = '#0f1419'
      context.fillRect(0, 0, width, height)
      const station = stationNow()
      roadPoint(road, station, point)
      const { x, y } = point
      const px = (one: RoadPoint) => width / 2 + (one.x - x) * SCALE
      const py = (one: RoadPoint) => height * AHEAD - (one.y - y) * SCALE
      const trace = () => {
        context.beginPath()
        for (let s = Math.max(0, station - BEHIND); s <= Math.min(road.length, station + BEYOND); s += 2) {
          roadPoint(road, s, point)
          if (s === Math.max(0, station - BEHIND)) context.moveTo(px(point), py(point))
          else context.lineTo(px(point), py(point))
        }
        context.stroke()
      }
      context.lineJoin = 'round'
      context.strokeStyle = '#f2eee4'
      context.lineWidth = 15
      trace()
      context.strokeStyle = '#4a4f55'
      context.lineWidth = 12
      trace()
      context.strokeStyle = '#58c4bb'
      context.lineWidth = 3
      for (const mark of marks) {
        if (mark < station - BEHIND || mark > station + BEYOND) continue
        roadPoint(road, mark, point)
        const nx = -Math.sin(point.heading) * 4
        const ny = Math.cos(point.heading) * 4
        context.beginPath()
        context.moveTo(px(point) + nx * SCALE, py(point) - ny * SCALE)
        context.lineTo(px(point) - nx * SCALE, py(point) + ny * SCALE)
        context.stroke()
      }
      context.fillStyle = '#f2eee4'
      context.beginPath()
      context.arc(width / 2, height * AHEAD, 6, 0, 2 * Math.PI)
      context.fill()
      frame = requestAnimationFrame(draw)
    }
    draw()
    return () => cancelAnimationFrame(frame)
  }, [road, marks, stationNow])
  return (
    <div aria-hidden="true">
      <canvas ref={canvas} style={{ width: '100%', height: '100%', display: 'block' }} />
    </div>
  )
}
