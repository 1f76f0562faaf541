import type { HeardWire, NewTake, TakeDetail } from '../../../server/api/wireTakes.ts'
import { RequestProblem, request, send } from '../../connection/request.ts'

/** A take on its way to its stage folder: kept in the browser until the server has it, so that neither a dead tab nor a dead server loses what was recorded. */
interface KeptTake {
  readonly local: string
  readonly stage: string
  readonly about: NewTake
  take: string | null
  heard: HeardWire | null
}
interface KeptPiece {
  readonly local: string
  readonly at: number
  readonly samples: Int16Array
}

const NAME = 'say-when-takes'
/** Waits between tries while the server does not answer, ms. */
const RETRY = 1500

function open(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asking = indexedDB.open(NAME, 1)
    asking.onupgradeneeded = () => {
      asking.result.createObjectStore('takes', { keyPath: 'local' })
      asking.result.createObjectStore('pieces', { keyPath: ['local', 'at'] })
    }
    asking.onsuccess = () => resolve(asking.result)
    asking.onerror = () => reject(asking.error)
  })
}

async function within<T>(
  store: 'takes' | 'pieces',
  mode: IDBTransactionMode,
  work: (store: IDBObjectStore) => IDBRequest<T>,
): Promise<T> {
  const database = await open()
  try {
    return await new Promise<T>((resolve, reject) => {
      const transaction = database.transaction(store, mode, { durability: 'strict' })
      const asked = work(transaction.objectStore(store))
      transaction.oncomplete = () => resolve(asked.result)
      transaction.onerror = () => reject(transaction.error)
      transaction.onabort = () => reject(transaction.error)
    })
  } finally {
    database.close()
  }
}

const piecesOf = (local: string): Promise<KeptPiece[]> =>
  within('pieces', 'readonly', (store) => store.getAll(IDBKeyRange.bound([local, 0], [local, Number.MAX_SAFE_INTEGER])))

/** Refused for good: the stage or the take is gone, or the piece is no piece. Trying again would not help. */
const isFinal = (error: unknown) => error instanceof RequestProblem && [400, 404, 413].includes(error.status)

/** Sends one kept take as far as it can: itself, its pieces, what was heard. Throws when the server does not answer or refuses. */
async function deliver(kept: KeptTake): Promise<TakeDetail | null> {
  if (kept.take === null) {
    const made = await request<{ id: string }>(`/stages/${kept.stage}/takes`, send('POST', kept.about))
    kept.take = made.id
    await within('takes', 'readwrite', (store) => store.put(kept))
  }
  const path = `/stages/${kept.stage}/takes/${kept.take}`
  for (const { at, samples } of await piecesOf(kept.local)) {
    await request(`${path}/sound?at=${at}`, {
      method: 'PUT',
      headers: { 'content-type': 'application/octet-stream' },
      body: new Blob([samples as Int16Array<ArrayBuffer>]),
    })
    await within('pieces', 'readwrite', (store) => store.delete([kept.local, at]))
  }
  if (kept.heard === null) return null
  const detail = await request<TakeDetail>(`${path}/heard`, send('PUT', kept.heard))
  await within('takes', 'readwrite', (store) => store.delete(kept.local))
  return detail
}

export interface TakeKeeper {
  add(at: number, samples: Int16Array): void
  /** Resolves when all of it lies in the stage folder. */
  finish(heard: HeardWire): Promise<TakeDetail>
}

/** Keeps a take while it is recorded. `onProblem` is told in words what does not get through, and null when it does again. */
export function keepTake(stage: string, about: NewTake, onProblem: (words: string | null) => void): TakeKeeper {
  const kept: KeptTake = { local: crypto.randomUUID(), stage, about, take: null, heard: null }
  let waiting: Promise<unknown> = within('takes', 'readwrite', (store) => store.put(kept))
  let sending = false
  let done: ((detail: TakeDetail) => void) | null = null
  let failed: ((error: Error) => void) | null = null

  const sendOn = async () => {
    if (sending) return
    sending = true
    try {
      await waiting
      const detail = await deliver(kept)
      onProblem(null)
      if (detail !== null) done?.(detail)
    } catch (error) {
      onProblem(`${(error as Error).message} The take is kept in this browser meanwhile.`)
      if (isFinal(error)) failed?.(error as Error)
      else setTimeout(() => void sendOn(), RETRY)
    } finally {
      sending = false
    }
  }
  void sendOn()
  return {
    add(at, samples) {
      waiting = waiting
        .then(() => within('pieces', 'readwrite', (store) => store.put({ local: kept.local, at, samples })))
        .catch((error: Error) =>
          onProblem(`This browser cannot keep more of the take (${error.name}); free some space.`),
        )
      void waiting.then(sendOn)
    },
    finish(heard) {
      return new Promise((resolve, reject) => {
        done = resolve
        failed = reject
        kept.heard = heard
        waiting = waiting.then(() => within('takes', 'readwrite', (store) => store.put(kept)))
        void waiting.then(sendOn)
      })
    },
  }
}

/** Sends what earlier pages left behind: takes cut off by a crash. Returns how many of this stage got through. */
export async function sendLeftovers(stage: string): Promise<number> {
  let through = 0
  for (const kept of await within<KeptTake[]>('takes', 'readonly', (store) => store.getAll())) {
    if (kept.stage !== stage) continue
    try {
      await deliver(kept)
      through++
      if (kept.heard === null) await within('takes', 'readwrite', (store) => store.delete(kept.local))
    } catch (error) {
      if (!isFinal(error)) continue
      // Its stage is gone: nothing could ever take it.
      for (const { at } of await piecesOf(kept.local))
        await within('pieces', 'readwrite', (store) => store.delete([kept.local, at]))
      await within('takes', 'readwrite', (store) => store.delete(kept.local))
    }
  }
  return through
}

/** Runs `work` while no other tab of this browser listens; false when one does. */
export async function aloneListening(work: () => Promise<void>): Promise<boolean> {
  if (!navigator.locks) {
    await work()
    return true
  }
  return navigator.locks.request('say-when-microphone', { ifAvailable: true }, async (lock) => {
    if (lock === null) return false
    await work()
    return true
  })
}
