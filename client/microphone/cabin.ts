/** Half-order harmonics of the engine, counted from half the firing frequency. */
const HARMONICS = 24

/**
 * Cabin noise made here: engine harmonics that follow gear changes (with the dip of the throttle and a clunk), a whine, road noise in gusts, stones
 * against the floor. Mono, full scale about ±1 (root mean square 0.1). Same random numbers, same noise. All figures chosen by ear and from memory, none
 * measured in a car. `seconds` >= 0 and `rate` > 0, else RangeError.
 */
export function cabinNoise(seconds: number, rate: number, random: () => number): Float32Array {
  if (!(seconds >= 0)) throw new RangeError(`cabinNoise: seconds must be >= 0, got ${seconds}`)
  if (!(rate > 0)) throw new RangeError(`cabinNoise: rate must be > 0, got ${rate}`)
  const out = new Float32Array(Math.round(seconds * rate))
  const weights = Float64Array.from({ length: HARMONICS }, (_, k) => (0.4 + random()) / (k + 1) ** 0.9)
  const phases = Float64Array.from({ length: HARMONICS + 1 }, () => random())
  let frequency = 90 + 60 * random()
  let rise = 25
  let dip = 0
  let clunk = 0
  let gust = 0.5
  let gustTo = 0.5
  let [low, mid] = [0, 0]
  let stone = 0
  let stoneTone = 0
  let stonePhase = 0
  for (let i = 0; i < out.length; i++) {
    frequency += rise / rate
    if (frequency > 235 + 15 * Math.sin(i / rate)) {
      // Up a gear: revs fall, the throttle is shut for 150 ms.
      frequency *= 0.68
      rise = 12 + 30 * random()
      dip = 0.15 * rate
      clunk = 0.04 * rate
    } else if (rise > 0 && random() < 0.25 / rate) rise = -35 - 30 * random()
    else if (rise < 0 && frequency < 100) rise = 15 + 30 * random()
    if (dip > 0) dip--
    const engine = dip > 0 ? 0.35 : 1
    let sum = 0
    for (let k = 0; k < HARMONICS; k++) {
      const f = (frequency * (k + 1)) / 2
      phases[k]! += f / rate
      if (phases[k]! >= 1) phases[k]! -= 1
      if (f < rate / 2) sum += weights[k]! * Math.sin(2 * Math.PI * phases[k]!)
    }
    phases[HARMONICS]! += (frequency * 7.3) / rate
    if (phases[HARMONICS]! >= 1) phases[HARMONICS]! -= 1
    const whine = 0.25 * Math.sin(2 * Math.PI * phases[HARMONICS]!)
    const white = 2 * random() - 1
    low += 0.02 * (white - low)
    mid += 0.25 * (white - mid)
    if (i % Math.round(rate / 5) === 0) gustTo = 0.3 + 0.9 * random()
    gust += (gustTo - gust) / (0.4 * rate)
    const road = gust * (7 * low + 1.6 * mid + 0.25 * white)
    if (random() < 6 / rate) {
      stone = 0.4 + 1.6 * random()
      stoneTone = 900 + 2600 * random()
    }
    stone *= 1 - 1 / (0.006 * rate)
    stonePhase += stoneTone / rate
    if (clunk > 0) clunk--
    const knock = clunk > 0 ? 1.5 * (clunk / (0.04 * rate)) * Math.sin((2 * Math.PI * 140 * i) / rate) : 0
    out[i] = engine * (sum + whine) + road + stone * Math.sin(2 * Math.PI * stonePhase) + knock
  }
  let power = 0
  for (const v of out) power += v * v
  const gain = out.length > 0 && power > 0 ? 0.1 / Math.sqrt(power / out.length) : 0
  for (let i = 0; i < out.length; i++) out[i] = Math.max(-1, Math.min(1, out[i]! * gain))
  return out
}
