import type { Server } from 'node:http'
import type { Socket } from 'node:net'

interface Door {
  readonly server: Server
  readonly sockets: Set<Socket>
}

/**
 * The server's doors to the local network: one listener on each address of this machine, opened and closed while the loopback one stays as it is. Addresses
 * that come while it is open (a wireless network joined late) get theirs at the next `refresh`.
 */
export class LanDoors {
  private readonly doors = new Map<string, Door>()
  private wanted = false
  private readonly make: () => Server
  private readonly addresses: () => readonly string[]
  private readonly port: () => number
  private readonly log: (text: string) => void

  constructor(q: {
    make: () => Server
    addresses: () => readonly string[]
    port: () => number
    log: (text: string) => void
  }) {
    this.make = q.make
    this.addresses = q.addresses
    this.port = q.port
    this.log = q.log
  }

  get open(): boolean {
    return this.wanted
  }

  async change(open: boolean): Promise<void> {
    this.wanted = open
    if (open) await this.refresh()
    else for (const address of [...this.doors.keys()]) this.shut(address)
  }

  /** Listens on addresses that are new, lets go of those that are gone. */
  async refresh(): Promise<void> {
    if (!this.wanted) return
    const now = this.addresses()
    for (const address of this.doors.keys()) if (!now.includes(address)) this.shut(address)
    for (const address of now) {
      if (this.doors.has(address)) continue
      const door: Door = { server: this.make(), sockets: new Set() }
      this.doors.set(address, door)
      door.server.on('connection', (socket: Socket) => {
        door.sockets.add(socket)
        socket.once('close', () => door.sockets.delete(socket))
      })
      await new Promise<void>((resolve) => {
        door.server.once('error', (error) => {
          this.log(`Not open at ${address}: ${error.message}\n`)
          this.doors.delete(address)
          resolve()
        })
        door.server.listen(this.port(), address, resolve)
      })
    }
  }

  /** Whoever came in through a door goes with it. */
  private shut(address: string): void {
    const door = this.doors.get(address)
    this.doors.delete(address)
    door?.server.close()
    for (const socket of door?.sockets ?? []) socket.destroy()
  }
}
