import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'

const css = readFileSync(fileURLToPath(new URL('../../../client/look/tokens.css', import.meta.url)), 'utf8')

/** Each block of colours in the file, in its order: light, dark by preference, dusk. */
const blocks = [...css.matchAll(/\{([^{}]*--paper[^{}]*)\}/g)].map(
  (block) => new Map([...block[1]!.matchAll(/--([a-z-]+):\s*(#[0-9a-f]{6})/g)].map((m) => [m[1]!, m[2]!])),
)
const schemes = { light: blocks[0]!, dark: blocks[1]!, dusk: blocks[2]! }

/** Relative luminance, WCAG 2.2: L = 0.2126 R + 0.7152 G + 0.0722 B of linearised sRGB. */
function luminance(colour: string): number {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(colour.slice(at, at + 2), 16) / 255
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4
  })
  return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!
}

/** Contrast ratio, WCAG 2.2: (L1 + 0.05) / (L2 + 0.05), the lighter first; 1 … 21. */
function contrast(one: string, other: string): number {
  const [a, b] = [luminance(one), luminance(other)]
  return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05)
}

/** Text: 4.5:1, WCAG 2.2 success criterion 1.4.3. */
const TEXT = [
  ['ink', 'paper'],
  ['ink', 'sheet'],
  ['ink', 'voice'],
  ['ink', 'over-ground'],
  ['soft', 'paper'],
  ['soft', 'sheet'],
  ['mark', 'paper'],
  ['over', 'paper'],
  ['over', 'sheet'],
] as const

/** Graphics and edges of controls: 3:1, WCAG 2.2 success criterion 1.4.11. */
const GRAPHICS = [
  ['mark', 'sheet'],
  ['voice-edge', 'paper'],
  ['road-edge', 'road'],
  ['over', 'over-ground'],
] as const

it('knows the ends of the scale: black on white is 21:1, a colour on itself 1:1', () => {
  expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 10)
  expect(contrast('#37597a', '#37597a')).toBe(1)
})

describe.each(Object.entries(schemes))('colours of %s', (_, colours) => {
  it.each(TEXT)('%s can be read on %s', (text, ground) => {
    expect(contrast(colours.get(text)!, colours.get(ground)!)).toBeGreaterThanOrEqual(4.5)
  })
  it.each(GRAPHICS)('%s is told from %s', (shape, ground) => {
    expect(contrast(colours.get(shape)!, colours.get(ground)!)).toBeGreaterThanOrEqual(3)
  })
})
