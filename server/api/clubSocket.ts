import type { IncomingMessage } from 'node:http'
import type { Duplex } from 'node:stream'
import { type WebSocket, WebSocketServer } from 'ws'
import { CLUB_CLOSE } from '../sessions/clubWire.ts'
import type { FrontDoor } from '../sessions/frontDoor.ts'

/** The largest message of a club is a join with two long names; a frame beyond this is refused by the socket itself with 1009 (RFC 6455). */
const MOST_BYTES = 16 * 1024
/** For the other side's half of the close handshake. */
const CLOSE_PATIENCE_MS = 1000

/** Club connections at /club: each frame goes to the front door, which knows nothing of sockets. */
export function clubSockets(front: FrontDoor): {
  upgrade: (request: IncomingMessage, socket: Duplex, head: Buffer) => void
  close: () => void
} {
  const sockets = new WebSocketServer({ noServer: true, maxPayload: MOST_BYTES, perMessageDeflate: false })
  return {
    upgrade(request, socket, head) {
      sockets.handleUpgrade(request, socket, head, (page) =>
        seat(page, front, request.socket.remoteAddress ?? 'unknown'),
      )
    },
    close() {
      front.stop()
      sockets.close()
      for (const page of sockets.clients) page.terminate()
    },
  }
}

function seat(page: WebSocket, front: FrontDoor, address: string): void {
  const held = front.connect(
    {
      send: (text) => {
        if (page.readyState === page.OPEN) page.send(text)
      },
      close(code, reason) {
        page.close(code, reason)
        // A flood is not read on while it is being shown the door.
        if (code === CLUB_CLOSE.flood.code) page.pause()
        setTimeout(() => page.terminate(), CLOSE_PATIENCE_MS).unref()
      },
      get unsent() {
        return page.bufferedAmount
      },
    },
    address,
  )
  page.on('message', (data, binary) => held.hear(binary ? null : String(data)))
  page.on('close', held.end)
  // Frames that break the protocol: ws answers with its own close code (1002, 1007, 1009) and ends.
  page.on('error', () => {
    held.end()
    setTimeout(() => page.terminate(), CLOSE_PATIENCE_MS).unref()
  })
}
