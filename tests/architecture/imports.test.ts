import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
import { type Allowed, allowedClient, allowedServer } from './allowedImports.ts'

const root = fileURLToPath(new URL('../..', import.meta.url))

interface Import {
  readonly file: string
  readonly target: string
  readonly typeOnly: boolean
}

function sources(folder: string): string[] {
  return readdirSync(join(root, folder), {
    withFileTypes: true,
    recursive: true,
  })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) => relative(root, join(entry.parentPath, entry.name)))
    .filter((file) => !file.includes('/dist/'))
}

/** Every relative import of a file, static, re-exported or lazy; `import type` and `import { type … }` of types alone count as types. */
function importsOf(file: string): Import[] {
  const text = readFileSync(join(root, file), 'utf8')
  const found: Import[] = []
  const add = (specifier: string, typeOnly: boolean) => {
    if (specifier.startsWith('.'))
      found.push({
        file,
        target: relative(root, resolve(root, dirname(file), specifier)),
        typeOnly,
      })
  }
  for (const m of text.matchAll(/(?:^|\n)\s*(import|export)\s+(type\s+)?([^'";]*?)\s*from\s*['"]([^'"]+)['"]/g)) {
    const names = m[3]!.replace(/[{}\s]+/g, ' ').trim()
    const allTypes =
      m[3]!.includes('{') && names.split(',').every((name) => name.trim() === '' || name.trim().startsWith('type '))
    add(m[4]!, Boolean(m[2]) || allTypes)
  }
  for (const m of text.matchAll(/(?:^|\n)\s*import\s*['"]([^'"]+)['"]/g)) add(m[1]!, false)
  for (const m of text.matchAll(/\bimport\(\s*['"]([^'"]+)['"]\s*\)/g)) add(m[1]!, false)
  return found
}

function roomOf(file: string): string {
  const [side, second] = file.split('/')
  if (second === undefined) return side!
  return /\.tsx?$/.test(second) ? `${side}/${second}` : `${side}/${second}`
}

function forbidden(imports: readonly Import[], allowed: Readonly<Record<string, Allowed>>): string[] {
  const wrong: string[] = []
  for (const { file, target, typeOnly } of imports) {
    const from = roomOf(file)
    const to = roomOf(target)
    if (from === to) continue
    const rule = allowed[from]
    if (rule === undefined) wrong.push(`${file}: its room ${from} is not in the table`)
    else if (rule.values === 'all' || rule.values.includes(to)) continue
    else if (
      typeOnly &&
      (rule.types === 'all' || rule.types.includes(to) || (to.startsWith('server/') && from.startsWith('client/')))
    )
      continue
    else wrong.push(`${file} imports ${typeOnly ? 'types of ' : ''}${target}`)
  }
  return wrong
}

describe('imports go one way', () => {
  const server = sources('server').flatMap(importsOf)
  const client = sources('client').flatMap(importsOf)

  it('finds imports at all, on both sides', () => {
    expect(server.length).toBeGreaterThan(50)
    expect(client.length).toBeGreaterThan(20)
  })

  it('keeps every server room to what the table allows', () => {
    expect(forbidden(server, allowedServer)).toEqual([])
  })

  it('keeps every client room to what the table allows, and to types from the server', () => {
    expect(forbidden(client, allowedClient)).toEqual([])
  })

  it('catches a value import from the server in the client', () => {
    const planted = [{ file: 'client/road/a.ts', target: 'server/units.ts', typeOnly: false }]
    expect(forbidden(planted, allowedClient)).toHaveLength(1)
  })

  it('catches notes reaching for the road', () => {
    const planted = [
      {
        file: 'server/notes/a.ts',
        target: 'server/route/route.ts',
        typeOnly: true,
      },
    ]
    expect(forbidden(planted, allowedServer)).toHaveLength(1)
  })
})
