/**
 * `npm test` on a machine with Node and npm only: installs packages and, where it is missing and allowed, Chromium, builds
 * the pages, checks types and style, then runs every test. Ends with the test runner's own summary.
 */
import { spawnSync } from 'node:child_process'
import { existsSync } from 'node:fs'
import { dirname } from 'node:path'
import { fileURLToPath } from 'node:url'
import { build, install } from '../server/launch.mjs'

const root = dirname(dirname(fileURLToPath(import.meta.url)))
process.chdir(root)

function must(command, args, more = {}) {
  const done = spawnSync(command, args, {
    stdio: ['ignore', 'inherit', 'inherit'],
    ...more,
  })
  if (done.status !== 0) process.exit(done.status ?? 1)
}

function tryTo(command, args) {
  return (
    spawnSync(command, args, {
      stdio: ['ignore', 'ignore', 'inherit'],
      env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' },
    }).status === 0
  )
}

install()

const browsers = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome']
if (!browsers.some(existsSync)) {
  console.error('No Chromium here; trying apt-get, which needs root …')
  if (
    !(
      tryTo('apt-get', ['update', '-q']) &&
      tryTo('apt-get', ['install', '-y', '-q', '--no-install-recommends', 'chromium'])
    )
  ) {
    console.error(
      'Chromium could not be installed. The browser tests need it: as root, run "apt-get install chromium".',
    )
    process.exit(1)
  }
}

build()
must(process.execPath, ['node_modules/typescript/bin/tsc', '--noEmit'])
must(process.execPath, ['node_modules/@biomejs/biome/bin/biome', 'check', '.'])
const chosen = process.argv.slice(2)
must(process.execPath, ['node_modules/vitest/vitest.mjs', 'run', '--config', 'tests/vitest.config.ts', ...chosen])
