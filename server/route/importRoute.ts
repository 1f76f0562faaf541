import { importCsv } from './importCsv.ts'
import { importGeoJson } from './importGeoJson.ts'
import { importGpx } from './importGpx.ts'
import { importKml } from './importKml.ts'
import { importKmz } from './importKmz.ts'
import { importOpenDrive } from './importOpenDrive.ts'
import { importTcx } from './importTcx.ts'
import { mendDraft } from './mendDraft.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/** Root elements by format; the first that stands in the file's head decides. */
const ROOTS: readonly [RegExp, (bytes: Uint8Array, name: string) => RouteDraft][] = [
  [/<(\w+:)?gpx[\s>]/i, importGpx],
  [/<(\w+:)?kml[\s>]/i, importKml],
  [/<(\w+:)?TrainingCenterDatabase[\s>]/, importTcx],
  [/<(\w+:)?OpenDRIVE[\s>]/i, importOpenDrive],
]
const HEAD_BYTES = 8000

/** Reads a route file by what is in it; the name only helps with words. Throws RouteFileError: what, where and how to mend. */
export function importRoute(bytes: Uint8Array, name: string): RouteDraft {
  if (bytes.length === 0) throw new RouteFileError(`"${name}" is empty; export it again.`)
  return { ...mendDraft(importerOf(bytes, name)(bytes, name)), file: name }
}

function importerOf(bytes: Uint8Array, name: string): (bytes: Uint8Array, name: string) => RouteDraft {
  if (bytes[0] === 0x50 && bytes[1] === 0x4b) return importKmz
  const wide = (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff)
  const head = new TextDecoder(wide ? (bytes[0] === 0xff ? 'utf-16le' : 'utf-16be') : 'utf-8')
    .decode(bytes.subarray(0, HEAD_BYTES))
    .replace(/^\ufeff/, '')
    .trimStart()
  if (head.startsWith('<')) {
    for (const [root, importer] of ROOTS) if (root.test(head)) return importer
    if (/<osm[\s>]/.test(head))
      throw new RouteFileError(`"${name}" is raw OpenStreetMap data, not one road; export the road as GPX or GeoJSON.`)
    throw new RouteFileError(`"${name}" is XML but no route file known here; use GPX, KML, TCX or OpenDRIVE.`)
  }
  if (head.startsWith('{') || head.startsWith('[')) return importGeoJson
  if (/\.(csv|txt|tsv)$/i.test(name) || /^[^\n]*[,;\t][^\n]*\n/.test(head)) {
    if (head.includes('\u0000'))
      throw new RouteFileError(`"${name}" is not text; use GPX, KML, TCX, GeoJSON, OpenDRIVE or CSV.`)
    return importCsv
  }
  if (/\.gpx$/i.test(name)) throw new RouteFileError(`"${name}" is named GPX but is not XML; export it as GPX again.`)
  throw new RouteFileError(
    `"${name}" is no route file that can be read here; use GPX, KML, KMZ, TCX, GeoJSON, OpenDRIVE or CSV.`,
  )
}
