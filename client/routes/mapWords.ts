type Anchor = 'start' | 'middle' | 'end'

export interface PlacedLabel {
  readonly call: number
  readonly text: string
  readonly from: number
  readonly to: number
  readonly sure: boolean
}

export interface Box {
  readonly x0: number
  readonly x1: number
  readonly y: number
}

export interface MapWord extends PlacedLabel {
  readonly x: number
  readonly y: number
  readonly anchor: Anchor
}

/** Letters of the map's type are about this wide; lines this far apart do not touch. Pixels. */
const LETTER = 7.6
const LINE = 18
const ASIDE = 14
const EDGE = 4
/** Share of the offset to the side from which a word begins or ends at it, and is not centred. */
const ACROSS = 0.5

export const boxOf = (x: number, y: number, text: string, anchor: Anchor): Box => {
  const wide = text.length * LETTER
  const x0 = anchor === 'start' ? x : anchor === 'end' ? x - wide : x - wide / 2
  return { x0, x1: x0 + wide, y }
}

const free = (box: Box, taken: readonly Box[], width: number) =>
  box.x0 >= EDGE &&
  box.x1 <= width - EDGE &&
  !taken.some((one) => Math.abs(one.y - box.y) < LINE && box.x0 < one.x1 && box.x1 > one.x0)

/** Square off the road to its right (1) or left (−1): at the end of the offset where the road runs up the page, over or under where across. */
export function beside(p: { x: number; y: number; heading: number }, side: number, height: number) {
  const across = side * Math.sin(p.heading)
  const down = side * Math.cos(p.heading)
  const anchor: Anchor = across > ACROSS ? 'start' : across < -ACROSS ? 'end' : 'middle'
  const x = p.x + across * ASIDE
  const y = p.y + down * (anchor === 'middle' ? ASIDE + 4 : ASIDE) + 5
  return { x, y: Math.min(height - 6, Math.max(14, y)), anchor }
}

/**
 * Words beside the road: first off to the right of the way of travel, else to the left, else left out, so that none lies on another, on a figure, or over the
 * edge. The chosen call is always shown, on whichever side it fits best.
 */
export function placeWords(
  labels: readonly PlacedLabel[],
  lit: number | null,
  pixel: (station: number) => { x: number; y: number; heading: number },
  size: { width: number; height: number },
  figures: readonly Box[],
): MapWord[] {
  const taken = [...figures]
  const order = [...labels].sort((a, b) => Number(b.call === lit) - Number(a.call === lit))
  return order.flatMap((label): MapWord[] => {
    const p = pixel((label.from + label.to) / 2)
    if (p.x < -20 || p.y < 0 || p.x > size.width + 20 || p.y > size.height) return []
    for (const must of [false, true]) {
      for (const side of [1, -1]) {
        const { x, y, anchor } = beside(p, side, size.height)
        const box = boxOf(x, y, label.text, anchor)
        const inside = box.x0 >= EDGE && box.x1 <= size.width - EDGE
        if (must ? inside : free(box, taken, size.width)) {
          taken.push(box)
          return [{ ...label, x, y, anchor }]
        }
      }
      if (label.call !== lit) return []
    }
    return []
  })
}
