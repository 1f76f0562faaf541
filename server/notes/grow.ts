/** A row of whole numbers that grows: a typed array behind a push, because the reader makes tens of thousands of entries. */
export class Grow {
  length = 0
  at: Int32Array = new Int32Array(1024)

  push(value: number): void {
    if (this.length === this.at.length) this.widen()
    this.at[this.length++] = value
  }

  setLast(value: number): void {
    this.at[this.length - 1] = value
  }

  private widen(): void {
    const wider = new Int32Array(this.at.length * 2)
    wider.set(this.at)
    this.at = wider
  }
}

/** The same for numbers with a fraction. */
export class GrowFloat {
  length = 0
  at: Float64Array = new Float64Array(1024)

  push(value: number): void {
    if (this.length === this.at.length) this.widen()
    this.at[this.length++] = value
  }

  setLast(value: number): void {
    this.at[this.length - 1] = value
  }

  private widen(): void {
    const wider = new Float64Array(this.at.length * 2)
    wider.set(this.at)
    this.at = wider
  }
}
