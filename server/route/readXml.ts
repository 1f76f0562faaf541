import { SaxesParser } from 'saxes'
import { RouteFileError } from './routeFileError.ts'

const MOST_BYTES = 200 * 1024 * 1024
const DEEPEST = 100
const HEAD_BYTES = 4096
/** Comments before the XML declaration are no XML, but some files have their licence there. */
const EARLY_COMMENTS = /^(?:<!--[\s\S]*?-->\s*)+(?=<\?xml)/

export interface XmlHandler {
  /** Local name without prefix, attributes by local name, path of local names down to this element. */
  open?: (name: string, attributes: Readonly<Record<string, string>>, path: readonly string[]) => void
  close?: (name: string, text: string, path: readonly string[]) => void
}

/**
 * Streams XML to a handler, safely: no DOCTYPE (so no entity is ever expanded), no file larger than 200 MB, no element deeper than 100.
 * Encoding by byte order mark or declaration (UTF-8, UTF-16, ISO-8859-1 and what TextDecoder knows). A file cut short is read to the cut:
 * returns the sentence of what went wrong, or null. Throws RouteFileError for what must not be read at all.
 */
export function readXml(bytes: Uint8Array, name: string, handler: XmlHandler): string | null {
  if (bytes.length > MOST_BYTES) throw new RouteFileError(`"${name}" is larger than 200 MB; export a shorter stretch.`)
  const text = decode(bytes)
  const path: string[] = []
  const texts: string[] = []
  let broken: string | null = null
  const parser = new SaxesParser({ xmlns: false, position: true })
  const local = (tag: string) => tag.slice(tag.indexOf(':') + 1)
  parser.on('doctype', () => {
    throw new RouteFileError(`"${name}" declares a DOCTYPE, which could hide entities; remove that line and try again.`)
  })
  parser.on('opentag', (tag) => {
    if (path.length >= DEEPEST)
      throw new RouteFileError(`"${name}" nests elements more than ${DEEPEST} deep; it is no route file.`)
    path.push(local(tag.name))
    texts.push('')
    if (handler.open) {
      const attributes: Record<string, string> = {}
      for (const [key, value] of Object.entries(tag.attributes)) attributes[local(key)] = String(value)
      handler.open(path.at(-1)!, attributes, path)
    }
  })
  const addText = (more: string) => {
    if (texts.length > 0 && texts[texts.length - 1]!.length < 10_000_000) texts[texts.length - 1] += more
  }
  parser.on('text', addText)
  parser.on('cdata', addText)
  parser.on('closetag', () => {
    handler.close?.(path.at(-1)!, texts.pop()!, path)
    path.pop()
  })
  parser.on('error', (error) => {
    throw Object.assign(new Error(error.message), { xml: true })
  })
  try {
    parser.write(text).close()
  } catch (error) {
    if (!(error as { xml?: boolean }).xml) throw error
    broken = `the file is not whole XML (${(error as Error).message.replace(/^[\d:]+\s*/, '')} at line ${parser.line})`
  }
  return broken
}

function decode(bytes: Uint8Array): string {
  const utf16 =
    bytes[0] === 0xff && bytes[1] === 0xfe ? 'utf-16le' : bytes[0] === 0xfe && bytes[1] === 0xff ? 'utf-16be' : null
  const head = new TextDecoder('latin1').decode(bytes.subarray(0, HEAD_BYTES))
  const declared = /<\?xml[^>]*encoding=["']([A-Za-z0-9._-]+)["']/.exec(head)?.[1]
  let decoder: TextDecoder
  try {
    decoder = new TextDecoder(utf16 ?? declared ?? 'utf-8')
  } catch {
    decoder = new TextDecoder('utf-8')
  }
  return decoder
    .decode(bytes)
    .replace(/^\ufeff/, '')
    .trimStart()
    .replace(EARLY_COMMENTS, '')
}
