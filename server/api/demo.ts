import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { LibraryError, type StageLibrary } from '../library/stageLibrary.ts'

/** The stage a newcomer opens first. */
const FIRST = 'tarn-hollow'

/** Copies a demo stage into the library, or gives the copy that is there; the copy is the crew's to change. Returns its id. */
export function copyDemo(library: StageLibrary, demos: string, which = FIRST): string {
  const folder = join(demos, which)
  if (!/^[a-z-]+$/.test(which) || !existsSync(join(folder, 'stage.json')))
    throw new LibraryError(`There is no demo "${which.slice(0, 40)}".`, 404)
  const known = library.list().find((entry) => entry.settings.demo === which)
  if (known) return known.id
  const { title, ...settings } = JSON.parse(readFileSync(join(folder, 'stage.json'), 'utf8'))
  const route = readdirSync(folder).find((name) => name.startsWith('route.'))
  return library.create(title, {
    settings: { ...settings, demo: which },
    notes: readFileSync(join(folder, 'notes.txt')),
    ...(route === undefined ? {} : { route: { name: route, bytes: readFileSync(join(folder, route)) } }),
  })
}
