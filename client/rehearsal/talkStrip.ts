import type { PlanDocument, RoadTable } from '../../server/api/wire.ts'
import type { PerMetre } from '../../server/units.ts'
import type { StripAxis } from './stripAxis.ts'
import { firstInView, NOTE_GAP, type StripBlock, type StripLayout, TIGHT, tickEvery } from './stripLayout.ts'

export interface StripView {
  /** Axis value at the left edge, and pixels per axis unit. */
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

export interface StripInput {
  readonly plan: PlanDocument
  readonly road: RoadTable
  readonly axis: StripAxis
  readonly layout: StripLayout
  readonly view: StripView
  readonly colours: StripColours
  readonly chosen: number | null
  readonly ghost: PlanDocument | null
}

export const ROW = 52
export const TOP = 34
const BLOCK = 26
const WORDS_ABOVE = 20
const AXIS_GAP = 18
const BAND = 150
/** How far the road band bends, pixels, and the curvature that comes near it. */
const BEND = 46
const BEND_FULL: PerMetre = 1 / 30
/** Width of the road band: a hand. */
const HAND = 20
/** Pixels between samples of the band. */
const SAMPLE = 3
/** A call whose thread may still reach into view began at most this long before it, seconds. */
const REACH = 20
const FACE = '"Atkinson Hyperlegible Next Variable", sans-serif'
export const WORD_FONT = `14.5px ${FACE}`
const SMALL_FONT = `13.5px ${FACE}`

export const stripHeight = (rows: number): number => TOP + rows * ROW + AXIS_GAP + BAND + 34
const blockTop = (rows: number, row: number) => TOP + (rows - 1 - row) * ROW + WORDS_ABOVE

/** Row under a height of the canvas. */
export const rowAt = (rows: number, y: number): number => rows - 1 - Math.floor((y - TOP) / ROW)

/** Draws what is in view: speech above the axis, road below it, a thread from the end of each call to the moment it is for. */
export function drawStrip(context: CanvasRenderingContext2D, width: number, q: StripInput): void {
  const { colours, view, layout } = q
  const height = stripHeight(layout.rows)
  const origin = view.from * view.scale
  const axisY = TOP + layout.rows * ROW + AXIS_GAP
  const middle = axisY + 26 + BAND / 2
  context.fillStyle = colours.sheet
  context.fillRect(0, 0, width, height)
  context.textBaseline = 'alphabetic'
  crunchBars(context, width, q)
  ticks(context, width, axisY, q)
  const roadY = roadBand(context, width, middle, q)
  if (q.ghost) ghostBlocks(context, width, q, axisY)
  const first = firstInView(layout, origin, REACH * q.axis.perSecond * view.scale)
  for (let k = first; k < layout.blocks.length; k++) {
    const block = layout.blocks[k]!
    if (block.left > origin + width) break
    thread(context, block, q, { axisY, roadY, top: blockTop(layout.rows, block.row) })
  }
  for (let k = first; k < layout.blocks.length; k++) {
    const block = layout.blocks[k]!
    if (block.left > origin + width) break
    drawBlock(context, block, q, blockTop(layout.rows, block.row))
  }
  context.fillStyle = colours.soft
  context.font = SMALL_FONT
  context.fillText('said', 12, 20)
  context.fillText('road, left bends up · across it: the driver must act', 12, height - 10)
}

function drawBlock(context: CanvasRenderingContext2D, block: StripBlock, q: StripInput, top: number): void {
  const { colours, view } = q
  const left = block.left - view.from * view.scale
  const over = block.late > 0
  const chosen = q.chosen === block.i
  context.fillStyle = over ? colours.overGround : colours.voice
  context.fillRect(left, top, block.width, BLOCK)
  if (over) {
    const call = q.plan.calls[block.i]!
    const begins = 1 - Math.min(1, block.late / (call.end - call.start))
    hatch(context, left + block.width * begins, top, left + block.width, top + BLOCK, colours.over)
  }
  context.strokeStyle = chosen ? colours.mark : over ? colours.over : colours.voiceEdge
  context.lineWidth = chosen ? 3 : 1.25
  if (block.width > 3 || chosen) context.strokeRect(left, top, block.width, BLOCK)
  context.font = WORD_FONT
  context.fillStyle = colours.ink
  if (block.words !== '') context.fillText(block.words, left, top - 5)
  if (block.note !== '') {
    context.fillStyle = colours.over
    context.font = `700 ${SMALL_FONT}`
    context.fillText(block.note, left + block.width + NOTE_GAP, top + BLOCK - 8)
  }
}

/** From the end of the words down to the axis, over to the moment they are for, and a line across the road there. */
function thread(
  context: CanvasRenderingContext2D,
  block: StripBlock,
  q: StripInput,
  at: { axisY: number; top: number; roadY: (x: number) => number },
): void {
  const { colours, view, axis } = q
  const end = block.left + block.width - view.from * view.scale
  const act = (axis.at(q.plan.calls[block.i]!.actBy) - view.from) * view.scale
  const y = at.roadY(act)
  const chosen = q.chosen === block.i
  context.strokeStyle = block.late > 0 ? colours.over : colours.voiceEdge
  context.lineWidth = chosen ? 2.5 : 1
  context.beginPath()
  context.moveTo(end, at.top + BLOCK)
  context.lineTo(end, at.axisY - 4)
  context.lineTo(act, at.axisY + 28)
  context.lineTo(act, y - HAND / 2)
  context.stroke()
  context.strokeStyle = colours.mark
  context.lineWidth = chosen ? 4.5 : 3
  context.beginPath()
  context.moveTo(act, y - HAND / 2)
  context.lineTo(act, y + HAND / 2)
  context.stroke()
}

function crunchBars(context: CanvasRenderingContext2D, width: number, q: StripInput): void {
  const { plan, axis, view } = q
  for (const crunch of plan.crunches) {
    if (crunch.over <= TIGHT) continue
    const first = plan.calls.find((call) => call.index === crunch.first)
    const last = plan.calls.find((call) => call.index === crunch.last)
    if (!first || !last) continue
    const left = (axis.at(first.start) - view.from) * view.scale
    const right = (axis.at(last.end) - view.from) * view.scale
    if (right < 0 || left > width) continue
    context.fillStyle = q.colours.over
    context.fillRect(left, 0, Math.max(3, right - left), 6)
    context.font = `700 ${SMALL_FONT}`
    const words = `${crunch.over.toFixed(1)} s over`
    if (right - left > context.measureText(words).width + 90) context.fillText(words, Math.max(left, 60), 22)
  }
}

function ticks(context: CanvasRenderingContext2D, width: number, y: number, q: StripInput): void {
  const { axis, view, colours } = q
  const every = tickEvery(axis.steps, view.scale, 74)
  context.strokeStyle = colours.soft
  context.fillStyle = colours.soft
  context.font = SMALL_FONT
  context.lineWidth = 1
  context.beginPath()
  context.moveTo(0, y)
  context.lineTo(width, y)
  for (let value = Math.ceil(view.from / every) * every; (value - view.from) * view.scale < width; value += every) {
    const x = (value - view.from) * view.scale
    context.moveTo(x, y)
    context.lineTo(x, y + 6)
    context.fillText(axis.label(value), x + 4, y + 16)
  }
  context.stroke()
}

/**
 * The road as a band, up for left and down for right, never past BEND whatever the bend: tanh of the mean curvature over the
 * stretch a sample covers, at least 18 m. Returns the height of its middle at a pixel.
 */
function roadBand(
  context: CanvasRenderingContext2D,
  width: number,
  middle: number,
  q: StripInput,
): (x: number) => number {
  const { road, view, axis } = q
  const last = road.curvature.length - 1
  const bendAt = (x: number) => {
    const here = axis.station(view.from + x / view.scale) / road.step
    const next = axis.station(view.from + (x + SAMPLE) / view.scale) / road.step
    const half = Math.max(4, Math.ceil((next - here) / 2))
    const hop = Math.max(1, Math.floor(half / 4))
    let sum = 0
    let n = 0
    for (let k = -half; k <= half; k += hop) {
      sum += road.curvature[Math.min(last, Math.max(0, Math.round(here + k)))]!
      n++
    }
    return middle - BEND * Math.tanh(sum / n / BEND_FULL)
  }
  const to = Math.min(width, (axis.at(q.plan.run.time) - view.from) * view.scale)
  context.beginPath()
  for (let x = 0; x < to; x += SAMPLE) context.lineTo(x, bendAt(x))
  context.lineJoin = 'round'
  for (const [thick, colour] of [
    [HAND + 3, q.colours.roadEdge],
    [HAND, q.colours.road],
  ] as const) {
    context.strokeStyle = colour
    context.lineWidth = thick
    context.stroke()
  }
  return bendAt
}

/** The plan kept to compare with: where its calls were, as a thin line of outlines over the axis. */
function ghostBlocks(context: CanvasRenderingContext2D, width: number, q: StripInput, axisY: number): void {
  context.strokeStyle = q.colours.soft
  context.lineWidth = 1
  for (const call of q.ghost!.calls) {
    const left = (q.axis.at(call.start) - q.view.from) * q.view.scale
    const right = (q.axis.at(call.end) - q.view.from) * q.view.scale
    if (right >= 0 && left <= width) context.strokeRect(left, axisY - 8, right - left, 5)
  }
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
