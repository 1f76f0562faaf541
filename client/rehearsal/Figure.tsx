/** A number of the run with its unit, stepped down and up by words a screen reader can say. */
export function Figure(q: {
  name: string
  value: number
  step: number
  least?: number
  most: number
  unit: string
  set: (value: number) => void
}) {
  const digits = q.step >= 1 ? 0 : q.step >= 0.1 ? 1 : 2
  const set = (value: number) => q.set(Number(Math.min(q.most, Math.max(q.least ?? 0, value)).toFixed(digits)))
  return (
    <span className="figure-set">
      <span>{q.name} </span>
      <button type="button" aria-label={`less ${q.name}`} onClick={() => set(q.value - q.step)}>
        −
      </button>
      <output>
        {q.value.toFixed(digits)} {q.unit}
      </output>
      <button type="button" aria-label={`more ${q.name}`} onClick={() => set(q.value + q.step)}>
        +
      </button>
    </span>
  )
}
