import { type Dirent, existsSync, readdirSync } from 'node:fs'
import { open } from 'node:fs/promises'
import { join } from 'node:path'
import { Zip, ZipDeflate, ZipPassThrough } from 'fflate'

/** Raised when a bundle's layout changes; openBundle migrates every older one. */
export const BUNDLE_FORMAT = 2
/** The file in a bundle that says what it is. */
export const MANIFEST = 'bundle.json'

const PIECE = 1 << 18
/** Sound is stored: packing it gains little and costs seconds. */
const STORED = /\.(wav|mp3|ogg|webm)$/
/** Folders of a stage that a bundle knows. */
const FOLDERS: readonly string[] = ['versions', 'takes']
/** Files that come and go while something is written. */
const PASSING = /\.part$|^\./
const KEPT_HIDDEN = new Set(['.route-name'])

/** Files of a stage folder by their names in a bundle, sorted; links and what is no plain file are left out. */
export function bundleFiles(folder: string, takes: boolean): string[] {
  const plain = (entry: Dirent) => entry.isFile() && (!PASSING.test(entry.name) || KEPT_HIDDEN.has(entry.name))
  const names = readdirSync(folder, { withFileTypes: true })
    .filter(plain)
    .map(({ name }) => name)
  for (const sub of FOLDERS.filter((name) => takes || name !== 'takes')) {
    if (!existsSync(join(folder, sub))) continue
    const inside = readdirSync(join(folder, sub), { withFileTypes: true }).filter(plain)
    names.push(...inside.map(({ name }) => `${sub}/${name}`))
  }
  return names.sort()
}

/** A stage folder as a zip, piece by piece: memory holds a quarter of a megabyte, whatever the takes. `madeAt` is seconds since 1970. */
export async function* writeBundle(
  folder: string,
  options: { takes: boolean; madeAt: number },
): AsyncGenerator<Uint8Array> {
  const ready: Uint8Array[] = []
  let fault: Error | null = null
  const zip = new Zip((error, piece) => {
    if (error) fault = error
    else ready.push(piece)
  })
  const add = (name: string) => {
    const file = STORED.test(name) ? new ZipPassThrough(name) : new ZipDeflate(name, { level: 6 })
    file.mtime = new Date(Math.max(options.madeAt, DOS_EPOCH) * 1000)
    zip.add(file)
    return file
  }
  const manifest = { sayWhen: BUNDLE_FORMAT, takes: options.takes, madeAt: options.madeAt }
  add(MANIFEST).push(new TextEncoder().encode(JSON.stringify(manifest)), true)
  for (const name of bundleFiles(folder, options.takes)) {
    const entry = add(name)
    const file = await open(join(folder, name), 'r')
    try {
      for (;;) {
        const bytes = new Uint8Array(PIECE)
        const { bytesRead } = await file.read(bytes, 0, PIECE)
        entry.push(bytes.subarray(0, bytesRead), bytesRead === 0)
        if (fault) throw fault
        yield* ready.splice(0)
        if (bytesRead === 0) break
      }
    } finally {
      await file.close()
    }
  }
  zip.end()
  yield* ready.splice(0)
}

/** Zip times begin in 1980. */
const DOS_EPOCH = 315_619_200
