import type { Request } from 'express'

/** What was sent to a route that reads raw bytes; nothing where nothing was. */
export const bytesOf = (request: Request): Uint8Array =>
  Buffer.isBuffer(request.body) ? new Uint8Array(request.body) : new Uint8Array()
