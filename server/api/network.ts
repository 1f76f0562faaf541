import { X509Certificate } from 'node:crypto'
import { hostname, networkInterfaces } from 'node:os'

const LOOPBACK_NAMES = ['127.0.0.1', 'localhost', '::1']

/** IPv4 addresses under which others on the local network reach this machine. */
export function ownAddresses(): string[] {
  return Object.values(networkInterfaces())
    .flatMap((list) => list ?? [])
    .filter((one) => !one.internal && one.family === 'IPv4')
    .map((one) => one.address)
}

/** Names in a certificate that phones may ask for. Throws when the text is no certificate. */
export function certificateNames(certificate: string): string[] {
  const names = new X509Certificate(certificate).subjectAltName ?? ''
  return [...names.matchAll(/(?:DNS|IP Address):([^,\s]+)/g)].map((match) => match[1]!.toLowerCase())
}

export const isLoopback = (address: string | undefined): boolean =>
  address !== undefined && /^(127\.|::1$|::ffff:127\.)/.test(address)

/**
 * Whether a Host header names this server. A page of a stranger that has its own name resolve to this machine (DNS rebinding) sends its own name: only loopback
 * names, and with the network opened this machine's addresses, its name and those of its certificate are taken.
 */
export function ownHost(q: {
  host: string | undefined
  port: number
  usualPort: number
  lan: boolean
  addresses: readonly string[]
  names: readonly string[]
}): boolean {
  if (q.host === undefined) return false
  const match = /^(\[[0-9a-f:]+\]|[^:[\]]+)(?::(\d+))?$/i.exec(q.host)
  if (!match) return false
  if (Number(match[2] ?? q.usualPort) !== q.port) return false
  const name = match[1]!.replace(/^\[|\]$/g, '').toLowerCase()
  if (LOOPBACK_NAMES.includes(name)) return true
  const mine = hostname().toLowerCase()
  return q.lan && (q.addresses.includes(name) || name === mine || name === `${mine}.local` || q.names.includes(name))
}
