/** A library request that cannot be met: what, where, how to mend. `status` is the HTTP status that says the same. */
export class LibraryError extends Error {
  override readonly name = 'LibraryError'
  readonly status: number
  constructor(message: string, status: number) {
    super(message)
    this.status = status
  }
}
