import { importGpx } from './importGpx.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/** Reads a route file by what is in it; the name only helps with words. Throws RouteFileError: what, where and how to mend. */
export function importRoute(bytes: Uint8Array, name: string): RouteDraft {
  if (bytes.length === 0) throw new RouteFileError(`"${name}" is empty; export it again.`)
  const head = new TextDecoder('utf-8')
    .decode(bytes.subarray(0, 4000))
    .replace(/^\ufeff/, '')
    .trimStart()
  if (/<gpx[\s>]/i.test(head) || /\.gpx$/i.test(name)) {
    if (!head.startsWith('<') && bytes[0] !== 0xff && bytes[0] !== 0xfe)
      throw new RouteFileError(`"${name}" is named GPX but is not XML; export it as GPX again.`)
    return importGpx(bytes, name)
  }
  throw new RouteFileError(`"${name}" is no route file that can be read here; use GPX.`)
}
