/** Heights each metre of a level road with one crest of radius R over `over` metres every 700 m, its valley spread over the rest. */
export function crestHeights(radius: number, over: number, length: number): number[] {
  const curvature = new Float64Array(length + 1)
  for (let s = 0; s <= length; s++) {
    const fromCrest = Math.abs((s % 700) - 350)
    curvature[s] = fromCrest <= over / 2 ? -1 / radius : over / radius / (700 - over)
  }
  const heights = [0]
  let grade = 0
  for (let s = 0; s < length; s++) {
    heights.push(heights[s]! + grade + curvature[s]! / 2)
    grade += (curvature[s]! + curvature[s + 1]!) / 2
  }
  return heights
}
