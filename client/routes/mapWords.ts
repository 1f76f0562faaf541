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
  readonly anchor: 'start' | 'end'
}

/** Letters of the map's type are about this wide; lines this far apart do not touch. Pixels. */
const LETTER = 7.6
const LINE = 18
const ASIDE = 14
const EDGE = 4

export const boxOf = (x: number, y: number, text: string, anchor: 'start' | 'end'): Box => {
  const wide = text.length * LETTER
  return anchor === 'start' ? { x0: x, x1: x + wide, y } : { x0: x - wide, x1: x, y }
}

const free = (box: Box, taken: readonly Box[], width: number) =>
  box.x0 >= EDGE &&
  box.x1 <= width - EDGE &&
  !taken.some((one) => Math.abs(one.y - box.y) < LINE && box.x0 < one.x1 && box.x1 > one.x0)

/**
 * Words beside the road: first off to the outside, else to the other side, else left out, so that none lies on another, on a figure, or over the
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
    const sides = Math.sin(p.heading) >= 0 ? (['start', 'end'] as const) : (['end', 'start'] as const)
    for (const must of [false, true]) {
      for (const anchor of sides) {
        const x = p.x + (anchor === 'start' ? ASIDE : -ASIDE)
        const y = Math.min(size.height - 6, Math.max(14, p.y + 5))
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
