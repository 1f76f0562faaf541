import { spawn } from 'node:child_process'
import { existsSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { copyFile, rename, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'

/** Browsers that print, where Debian, macOS and Windows keep them. */
const BROWSERS = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
]
const PATIENCE_MS = 60_000

/** The browser that will print, or null. */
export function findBrowser(): string | null {
  return BROWSERS.find((path) => existsSync(path)) ?? null
}

/** A page that could not be printed: what, and what serves instead. */
export class PrintError extends Error {
  override readonly name = 'PrintError'
}

/**
 * Prints an HTML page of ours to a PDF at its own @page size, by a Chromium without a window, with a profile of its own in a folder that is removed. The PDF
 * appears whole or not at all. Rejects with PrintError when there is no browser, it fails, or it takes longer than a minute (it is then ended by its id).
 */
export async function printPdf(html: string, path: string, browser: string | null = findBrowser()): Promise<void> {
  if (browser === null)
    throw new PrintError('No Chromium is at hand to make a PDF; write name.html instead and print it from any browser.')
  const folder = mkdtempSync(join(tmpdir(), 'say-when-print-'))
  const part = `${path}.${process.pid}.part`
  try {
    const page = join(folder, 'notebook.html')
    const made = join(folder, 'notebook.pdf')
    writeFileSync(page, html)
    await run(browser, [
      '--headless=new',
      // A browser refuses its sandbox to root; the page is our own and holds no script.
      ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      '--no-pdf-header-footer',
      `--user-data-dir=${join(folder, 'profile')}`,
      `--print-to-pdf=${made}`,
      pathToFileURL(page).href,
    ])
    if (!existsSync(made) || statSync(made).size === 0)
      throw new PrintError('The browser gave no PDF; write name.html instead and print it from any browser.')
    await copyFile(made, part)
    await rename(part, path)
  } finally {
    await rm(part, { force: true })
    rmSync(folder, { recursive: true, force: true, maxRetries: 5 })
  }
}

function run(browser: string, argv: readonly string[]): Promise<void> {
  return new Promise((resolve, reject) => {
    const child = spawn(browser, argv, { stdio: 'ignore' })
    const timer = setTimeout(() => {
      child.kill('SIGKILL')
      reject(new PrintError('The browser did not print in a minute; write name.html instead.'))
    }, PATIENCE_MS)
    child.once('error', (error) => {
      clearTimeout(timer)
      reject(new PrintError(`The browser could not be started (${error.message}); write name.html instead.`))
    })
    child.once('exit', (code) => {
      clearTimeout(timer)
      if (code === 0) resolve()
      else reject(new PrintError(`The browser failed to print (exit ${code}); write name.html instead.`))
    })
  })
}
