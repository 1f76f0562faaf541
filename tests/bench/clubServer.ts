import { type ChildProcess, spawn } from 'node:child_process'
import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'

const root = fileURLToPath(new URL('../..', import.meta.url))
/** Clock ticks a second in /proc (Linux: 100). */
const HERTZ = 100

/** The server in a process of its own, as `npm start` runs it, so that its processor time and memory are its own and it can be killed. */
export class ServerProcess {
  private child: ChildProcess | null = null
  address = ''
  private readonly library: string

  constructor(library: string) {
    this.library = library
  }

  async start(port = 0): Promise<void> {
    const child = spawn(
      process.execPath,
      [
        '--import',
        'tsx',
        '--input-type=module',
        '-e',
        `import { main } from './server/main.ts'; await main(['serve', '--port', '${port}', '--library', ${JSON.stringify(this.library)}, '--engine', 'silent'])`,
      ],
      { cwd: root, stdio: ['ignore', 'pipe', 'inherit'] },
    )
    this.child = child
    await new Promise<void>((resolve, reject) => {
      child.stdout!.on('data', (data) => {
        const found = /is at (http\S+)/.exec(String(data))
        if (!found) return
        this.address = found[1]!
        resolve()
      })
      child.once('exit', (code) => reject(new Error(`the server ended with ${code}`)))
    })
  }

  get port(): number {
    return Number(new URL(this.address).port)
  }

  async kill(signal: NodeJS.Signals): Promise<void> {
    const { child } = this
    if (!child) return
    const gone = new Promise((resolve) => child.once('exit', resolve))
    child.kill(signal)
    await gone
    this.child = null
  }

  /** Seconds of processor time used so far. */
  cpu(): number {
    const fields = readFileSync(`/proc/${this.child!.pid}/stat`, 'utf8').split(') ')[1]!.split(' ')
    return (Number(fields[11]) + Number(fields[12])) / HERTZ
  }

  /** Resident memory, MB. */
  memory(): number {
    return Number(/VmRSS:\s+(\d+)/.exec(readFileSync(`/proc/${this.child!.pid}/status`, 'utf8'))![1]) / 1024
  }

  async post<T>(path: string, body: unknown): Promise<T> {
    const answer = await fetch(`${this.address}/api${path}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify(body),
    })
    if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`)
    return (await answer.json()) as T
  }
}
