import { InputFault } from './readStage.ts'
import { CallFault } from './readTarget.ts'

/** The ending of a file's name that says its format. Throws CallFault when it is none of `known`. */
export function formatOf<T extends string>(file: string, option: string, known: readonly T[]): T {
  const ending = /\.([a-z0-9]+)$/i.exec(file)?.[1]?.toLowerCase()
  const format = known.find((one) => one === ending)
  if (!format)
    throw new CallFault(`${option} "${file}": its name must end in ${known.map((one) => `.${one}`).join(', ')}.`)
  return format
}

/** A write that failed as a fault of the input: what could not be written, why, and that nothing is left of it. */
export function cannotWrite(path: string, error: unknown): Error {
  const { code, name } = error as NodeJS.ErrnoException
  if (name === 'AbortError') return new InputFault(`"${path}" was not written: stopped; nothing was left behind.`)
  if (typeof code !== 'string') return error as Error
  const full = code === 'ENOSPC' || code === 'EDQUOT' || code === 'EFBIG'
  return new InputFault(
    `"${path}" cannot be written (${code}${full ? ', the disk or your share of it is full' : ''}); nothing was left behind.`,
  )
}
