/** Drafts in the browser's own database: what is typed is there before the server has it, and after a crash. */
export interface Draft {
  readonly stage: string
  readonly text: string
  /** Revision the text was begun from. */
  readonly base: number
}

const NAME = 'say-when'
const STORE = 'drafts'

function open(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asking = indexedDB.open(NAME, 1)
    asking.onupgradeneeded = () => asking.result.createObjectStore(STORE, { keyPath: 'stage' })
    asking.onsuccess = () => resolve(asking.result)
    asking.onerror = () => reject(asking.error)
  })
}

async function within<T>(mode: IDBTransactionMode, work: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const database = await open()
  try {
    return await new Promise<T>((resolve, reject) => {
      const transaction = database.transaction(STORE, mode, { durability: 'strict' })
      const asked = work(transaction.objectStore(STORE))
      transaction.oncomplete = () => resolve(asked.result)
      transaction.onerror = () => reject(transaction.error)
      transaction.onabort = () => reject(transaction.error)
    })
  } finally {
    database.close()
  }
}

export const keepDraft = (draft: Draft): Promise<unknown> => within('readwrite', (store) => store.put(draft))
export const dropDraft = (stage: string): Promise<unknown> => within('readwrite', (store) => store.delete(stage))
export const readDraft = (stage: string): Promise<Draft | undefined> =>
  within('readonly', (store) => store.get(stage) as IDBRequest<Draft | undefined>)
