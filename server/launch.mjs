#!/usr/bin/env node
/**
 * The way in on a machine that has Node and npm and nothing else: installs what is missing, builds the pages when they are
 * older than their sources, then hands over to main.ts. Only Node's own modules may be used up to there.
 * All of its own words go to standard error, so that `--json` leaves standard output to the document alone.
 */
import { spawnSync } from 'node:child_process'
import { existsSync, readdirSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath, pathToFileURL } from 'node:url'

const root = dirname(dirname(fileURLToPath(import.meta.url)))

function run(command, args) {
  const done = spawnSync(command, args, { cwd: root, stdio: ['ignore', 2, 2] })
  if (done.status !== 0) {
    process.stderr.write(`say-when: "${command} ${args.join(' ')}" failed; run it in ${root} to see why.\n`)
    process.exit(1)
  }
}

/** Installs when node_modules is absent or older than the lock file. */
export function install() {
  const lock = join(root, 'package-lock.json')
  const installed = join(root, 'node_modules', '.package-lock.json')
  if (existsSync(installed) && statSync(installed).mtimeMs >= statSync(lock).mtimeMs) return
  process.stderr.write('say-when: installing what it needs, once (under a minute) …\n')
  run('npm', ['ci', '--no-audit', '--no-fund', '--loglevel=error'])
}

function newest(path) {
  if (!statSync(path).isDirectory()) return statSync(path).mtimeMs
  return Math.max(
    0,
    ...readdirSync(path)
      .filter((name) => name !== 'dist')
      .map((name) => newest(join(path, name))),
  )
}

/** Builds client/dist when it is absent or older than the pages' sources. */
export function build() {
  const page = join(root, 'client', 'dist', 'index.html')
  if (
    existsSync(page) &&
    statSync(page).mtimeMs >= Math.max(newest(join(root, 'client')), newest(join(root, 'package-lock.json')))
  )
    return
  process.stderr.write('say-when: building the pages …\n')
  run(process.execPath, [
    join('node_modules', 'vite', 'bin', 'vite.js'),
    'build',
    '--config',
    'client/vite.config.ts',
    '--logLevel',
    'warn',
  ])
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const args = process.argv.slice(2)
  install()
  if (args[0] === 'serve') build()
  if (args[0] === 'dev') {
    const { createServer } = await import('vite')
    const pages = await createServer({ configFile: join(root, 'client', 'vite.config.ts') })
    await pages.listen()
    pages.printUrls()
    args[0] = 'serve'
  }
  const { register } = await import('tsx/esm/api')
  register()
  const { main } = await import(pathToFileURL(join(root, 'server', 'main.ts')).href)
  await main(args)
}
