/**
 * `npm run bench` runs every measurement; `npm run bench -- road fit` only those. Figures depend on the machine: quote ratios,
 * or say what else was running. Nothing here fails on slowness.
 */
import { readdirSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'
import { install } from '../../server/launch.mjs'

const here = dirname(fileURLToPath(import.meta.url))
install()
const { register } = await import('tsx/esm/api')
register()
const topics = readdirSync(here)
  .filter((name) => name.endsWith('.bench.ts'))
  .map((name) => name.slice(0, -'.bench.ts'.length))
  .sort()
const chosen = process.argv.slice(2).filter((word) => !word.startsWith('-'))
const unknown = chosen.filter((word) => !topics.includes(word))
if (unknown.length > 0) {
  console.error(`No such measurement: ${unknown.join(', ')}. There are: ${topics.join(', ')}.`)
  process.exit(2)
}
for (const topic of chosen.length > 0 ? chosen : topics) {
  console.log(`\n== ${topic}`)
  const { run } = await import(pathToFileURL(join(here, `${topic}.bench.ts`)).href)
  await run()
}
process.exit(0)
