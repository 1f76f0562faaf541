import jsQR from 'jsqr'
import { expect, it } from 'vitest'
import { qrPath } from '../../../client/sessions/qrPath.ts'

/** The path drawn as pixels, eight a module: dark squares on white. */
function drawn(text: string): { data: Uint8ClampedArray; width: number } {
  const { size, path } = qrPath(text)
  const width = size * 8
  const data = new Uint8ClampedArray(width * width * 4).fill(255)
  for (const [, x, y] of path.matchAll(/M(\d+) (\d+)h1v1h-1z/g)) {
    for (let dy = 0; dy < 8; dy++) {
      for (let dx = 0; dx < 8; dx++) {
        const at = ((Number(y) * 8 + dy) * width + Number(x) * 8 + dx) * 4
        data.fill(0, at, at + 3)
      }
    }
  }
  return { data, width }
}

it.each([
  'http://192.168.1.23:4317/club/ABCDEF',
  'https://[fd00::1]:4317/club/QWERTY',
  'http://127.0.0.1:65535/club/ZZZZZZ',
])('another library (jsqr) reads %s back from what is drawn', (text) => {
  const { data, width } = drawn(text)
  expect(jsQR(data, width, width)?.data).toBe(text)
})
