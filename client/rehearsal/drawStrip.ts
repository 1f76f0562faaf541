import type { PlanDocument, RoadTable } from '../../server/api/wire.ts'
import { clockInWords } from '../look/words.ts'
import { type CarState, carAtInPlace } from '../playback/carAt.ts'
import type { StripLayout } from './stripLayout.ts'

export interface StripView {
  /** Stage time at the left edge, and pixels a second. */
  readonly from: number
  readonly scale: number
}

export interface StripColours {
  readonly sheet: string
  readonly ink: string
  readonly soft: string
  readonly rule: string
  readonly voice: string
  readonly voiceEdge: string
  readonly road: string
  readonly roadEdge: string
  readonly mark: string
  readonly over: string
  readonly overGround: string
}

const ROW = 54
const TOP = 34
const BLOCK = 26
const AXIS_GAP = 20
const BAND = 150
/** How far the road band bends for a curvature, pixels: a hairpin fills the band. */
const BEND = 46
const BEND_FULL = 1 / 25
const HAND = 20

export const stripHeight = (rows: number): number => TOP + rows * ROW + AXIS_GAP + BAND + 30

export interface StripInput {
  readonly plan: PlanDocument
  readonly road: RoadTable
  readonly layout: StripLayout
  readonly view: StripView
  readonly colours: StripColours
  readonly chosen: number | null
  readonly ghost: PlanDocument | null
}

/** Draws what is in view: speech above the axis, the road below it, threads from the end of each call to the moment it is for. */
export function drawStrip(context: CanvasRenderingContext2D, width: number, q: StripInput): void {
  const height = stripHeight(q.layout.rows)
  const { colours, view, plan } = q
  const x = (time: number) => (time - view.from) * view.scale
  const until = view.from + width / view.scale
  const axis = TOP + q.layout.rows * ROW + AXIS_GAP
  const middle = axis + 24 + BAND / 2
  context.clearRect(0, 0, width, height)
  context.fillStyle = colours.sheet
  context.fillRect(0, 0, width, height)
  context.font = '14.5px "Atkinson Hyperlegible Next Variable", sans-serif'
  context.textBaseline = 'alphabetic'

  crunchBars(context, q, x, until)
  ticks(context, q, width, axis, x)
  const roadY = roadBand(context, q, width, middle)
  if (q.ghost) {
    context.globalAlpha = 0.35
    for (const call of q.ghost.calls)
      if (call.end > view.from && call.start < until)
        context.strokeRect(x(call.start), TOP - 6, (call.end - call.start) * view.scale, 5)
    context.globalAlpha = 1
  }
  for (const block of q.layout.blocks) {
    const call = plan.calls[block.i]!
    if (block.from > until || Math.max(block.to, call.actBy) < view.from - 20) continue
    const top = TOP + (q.layout.rows - 1 - block.row) * ROW + 22
    const over = block.late > 0
    const left = x(block.from)
    const wide = Math.max(2, (block.to - block.from) * view.scale)
    const chosen = q.chosen === block.i
    context.fillStyle = over ? colours.overGround : colours.voice
    context.strokeStyle = over ? colours.over : colours.voiceEdge
    context.lineWidth = chosen ? 3 : 1.5
    context.fillRect(left, top, wide, BLOCK)
    if (over)
      hatch(
        context,
        left + wide * (1 - Math.min(1, block.late / (block.to - block.from))),
        top,
        left + wide,
        top + BLOCK,
        colours.over,
      )
    context.strokeRect(left, top, wide, BLOCK)
    context.fillStyle = chosen ? colours.mark : colours.ink
    context.fillText(block.text, left, top - 6)
    if (over) {
      context.fillStyle = colours.over
      context.font = '700 13.5px "Atkinson Hyperlegible Next Variable", sans-serif'
      context.fillText(`${block.late.toFixed(1)} s over`, left + wide + 5, top + BLOCK - 8)
      context.font = '14.5px "Atkinson Hyperlegible Next Variable", sans-serif'
    }
    const act = x(call.actBy)
    const y = roadY(call.actBy)
    context.strokeStyle = over ? colours.over : colours.voiceEdge
    context.lineWidth = chosen ? 2.5 : 1
    context.beginPath()
    context.moveTo(left + wide, top + BLOCK)
    context.lineTo(left + wide, axis + 4)
    context.lineTo(act, axis + 30)
    context.lineTo(act, y - HAND / 2)
    context.stroke()
    context.strokeStyle = colours.mark
    context.lineWidth = 3
    context.beginPath()
    context.moveTo(act, y - HAND / 2)
    context.lineTo(act, y + HAND / 2)
    context.stroke()
  }
  context.fillStyle = colours.soft
  context.font = '13.5px "Atkinson Hyperlegible Next Variable", sans-serif'
  context.fillText('said', 14, 20)
  context.fillText('road, left bends up · short line: the driver must act', 14, height - 12)
}

function crunchBars(
  context: CanvasRenderingContext2D,
  q: StripInput,
  x: (time: number) => number,
  until: number,
): void {
  context.fillStyle = q.colours.over
  for (const crunch of q.plan.crunches) {
    if (crunch.over <= 0.2) continue
    const first = q.plan.calls.find((call) => call.index === crunch.first)
    const last = q.plan.calls.find((call) => call.index === crunch.last)
    if (!first || !last || first.start > until || last.end < q.view.from) continue
    context.fillRect(x(first.start), 0, (last.end - first.start) * q.view.scale, 6)
  }
}

function ticks(
  context: CanvasRenderingContext2D,
  q: StripInput,
  width: number,
  axis: number,
  x: (time: number) => number,
): void {
  const every = [1, 2, 5, 10, 30, 60, 120].find((step) => step * q.view.scale > 70) ?? 300
  context.strokeStyle = q.colours.soft
  context.lineWidth = 1
  context.beginPath()
  context.moveTo(0, axis)
  context.lineTo(width, axis)
  context.fillStyle = q.colours.soft
  for (let t = Math.ceil(q.view.from / every) * every; x(t) < width; t += every) {
    context.moveTo(x(t), axis)
    context.lineTo(x(t), axis + 8)
    context.fillText(clockInWords(t).replace(/\.0$/, ''), x(t) + 4, axis + 18)
  }
  context.stroke()
}

/** The road as a band on the time axis: up for left, down for right; returns its height at a time. */
function roadBand(
  context: CanvasRenderingContext2D,
  q: StripInput,
  width: number,
  middle: number,
): (time: number) => number {
  const profile = q.plan.profile!
  const { road, view } = q
  const car: CarState = { station: 0, speed: 0 }
  const bendAt = (t: number) => {
    carAtInPlace(profile, t, car)
    const i = car.station / road.step
    let sum = 0
    for (let k = -4; k <= 4; k++)
      sum += road.curvature[Math.min(road.curvature.length - 1, Math.max(0, Math.round(i + k)))]!
    return middle - BEND * Math.tanh(sum / 9 / BEND_FULL)
  }
  const points: number[] = []
  for (let px = 0; px <= width; px += 3) points.push(bendAt(view.from + px / view.scale))
  const trace = (lineWidth: number, colour: string) => {
    context.strokeStyle = colour
    context.lineWidth = lineWidth
    context.lineJoin = 'round'
    context.beginPath()
    points.forEach((y, i) => {
      if (i === 0) context.moveTo(0, y)
      else context.lineTo(i * 3, y)
    })
    context.stroke()
  }
  trace(HAND + 3, q.colours.roadEdge)
  trace(HAND, q.colours.road)
  return bendAt
}

function hatch(
  context: CanvasRenderingContext2D,
  left: number,
  top: number,
  right: number,
  bottom: number,
  colour: string,
): void {
  context.save()
  context.beginPath()
  context.rect(left, top, right - left, bottom - top)
  context.clip()
  context.strokeStyle = colour
  context.lineWidth = 1.5
  context.beginPath()
  for (let x = left - (bottom - top); x < right; x += 7) {
    context.moveTo(x, bottom)
    context.lineTo(x + (bottom - top), top)
  }
  context.stroke()
  context.restore()
}
