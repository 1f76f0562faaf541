/**
 * Runs a TypeScript module in a worker thread: `new Worker(new URL('../worker.mjs', import.meta.url), { workerData: { module: url, … } })`.
 * Node 20 does not carry `--import` hooks into threads, so the thread registers them itself before loading the module.
 */
import { workerData } from 'node:worker_threads'
import { register } from 'tsx/esm/api'

register()
await import(workerData.module)
