import { join } from 'node:path'
import { runCli } from '../../../server/cli/cli.ts'
import { seededRandom } from '../../seededRandom.ts'

export interface Ran {
  readonly code: number
  readonly out: string
  readonly err: string
}

/** The command line in this process: what it prints and its exit code, with clips kept in `folder`, seeded and at one time. */
export function runIn(folder: string): (...argv: string[]) => Promise<Ran> {
  return async (...argv) => {
    let [out, err] = ['', '']
    const code = await runCli(argv, {
      out: (text) => {
        out += text
      },
      err: (text) => {
        err += text
      },
      clips: join(folder, 'clips'),
      random: seededRandom(1),
      now: () => 1_900_000_000,
    })
    return { code, out, err }
  }
}
