/** A route file that cannot be used as it is: one sentence of what, where and how to mend. */
export class RouteFileError extends Error {
  override readonly name = 'RouteFileError'
}
