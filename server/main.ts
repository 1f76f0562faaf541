import { homedir } from 'node:os'
import { join } from 'node:path'
import { runCli } from './cli/cli.ts'

/** Where stages and clips live unless told otherwise. */
function home(): string {
  return process.env.SAY_WHEN_LIBRARY ?? join(homedir(), '.say-when')
}

/** Hands a call to the server or to the command line, and leaves with its exit code. `argv` is without the program's name. */
export async function main(argv: readonly string[]): Promise<void> {
  if (argv[0] === 'serve') {
    const { serve } = await import('./api/serve.ts')
    await serve(argv.slice(1), {
      home: home(),
      now: () => Date.now() / 1000,
      steady: () => (performance.timeOrigin + performance.now()) / 1000,
      random: Math.random,
      out: (text) => process.stdout.write(text),
      err: (text) => process.stderr.write(text),
    })
    return
  }
  process.exitCode = await runCli(argv, {
    out: (text) => process.stdout.write(text),
    err: (text) => process.stderr.write(text),
    clips: join(home(), 'clips'),
    random: Math.random,
    now: () => Date.now() / 1000,
  })
}
