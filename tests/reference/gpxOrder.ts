import { SaxesParser } from 'saxes'

/**
 * Children of each element in the order of the GPX 1.1 schema (topografix GPX 1.1 schema, complex types gpxType, metadataType, wptType, trkType and
 * trksegType): every one optional, `*` any number of times. Extensions hold elements of other namespaces only.
 */
const POINT =
  'ele time magvar geoidheight name cmt desc src link* sym type fix sat hdop vdop pdop ageofdgpsdata dgpsid extensions'
const CHILDREN: Readonly<Record<string, string>> = {
  gpx: 'metadata wpt* rte* trk* extensions',
  metadata: 'name desc author copyright link* time keywords bounds extensions',
  wpt: POINT,
  trkpt: POINT,
  trk: 'name cmt desc src link* number type extensions trkseg*',
  trkseg: 'trkpt* extensions',
}
const REQUIRED: Readonly<Record<string, readonly string[]>> = {
  gpx: ['version', 'creator'],
  wpt: ['lat', 'lon'],
  trkpt: ['lat', 'lon'],
}

/** What in a document the schema does not allow, in words; empty for a valid one. Decimal values and ranges are those of the schema's types. */
export function gpxFaults(text: string): string[] {
  const faults: string[] = []
  const open: { name: string; at: number; text: string }[] = []
  let foreign = 0
  const parser = new SaxesParser()
  parser.on('opentag', (tag) => {
    const name = tag.name
    if (name.includes(':')) foreign++
    if (foreign > 0) {
      if (open.at(-1)?.name !== 'extensions' && foreign === 1) faults.push(`${name} outside extensions`)
      return
    }
    for (const key of REQUIRED[name] ?? []) if (!(key in tag.attributes)) faults.push(`${name} without ${key}`)
    const { lat, lon } = tag.attributes as Record<string, string>
    if (lat !== undefined && !(decimal(lat) && Math.abs(Number(lat)) <= 90)) faults.push(`lat ${lat}`)
    if (lon !== undefined && !(decimal(lon) && Number(lon) >= -180 && Number(lon) < 180)) faults.push(`lon ${lon}`)
    const parent = open.at(-1)
    if (parent) {
      const allowed = (CHILDREN[parent.name] ?? '').split(' ')
      const at = allowed.findIndex((one, i) => i >= parent.at && one.replace('*', '') === name)
      if (at < 0) faults.push(`${name} in ${parent.name}, or not in its order`)
      else parent.at = allowed[at]!.endsWith('*') ? at : at + 1
    }
    open.push({ name, at: 0, text: '' })
  })
  parser.on('text', (piece) => {
    if (foreign === 0 && open.length > 0) open.at(-1)!.text += piece
  })
  parser.on('closetag', (tag) => {
    if (tag.name.includes(':')) foreign--
    else if (foreign === 0) {
      const { name, text: content } = open.pop()!
      if (name === 'ele' && !decimal(content)) faults.push(`ele ${content}`)
    }
  })
  parser.on('error', (error) => faults.push(error.message))
  parser.write(text).close()
  return faults
}

/** xsd:decimal has no exponent. */
const decimal = (text: string) => /^[+-]?(\d+(\.\d*)?|\.\d+)$/.test(text.trim())
