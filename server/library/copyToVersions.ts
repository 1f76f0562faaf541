import { copyFileSync, existsSync, mkdirSync } from 'node:fs'
import { join } from 'node:path'

/**
 * Copies a file of a stage folder to versions/, under the first name of `named(0)`, `named(1)` … that is free; returns that name. The file itself stays
 * until its successor is on the disk, so that neither a crash nor a full disk leaves a stage without either.
 */
export function copyToVersions(folder: string, file: string, named: (turn: number) => string): string {
  const versions = join(folder, 'versions')
  mkdirSync(versions, { recursive: true })
  let turn = 0
  while (existsSync(join(versions, named(turn)))) turn++
  copyFileSync(join(folder, file), join(versions, named(turn)))
  return named(turn)
}
