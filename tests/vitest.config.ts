import { defineConfig } from 'vitest/config'

const root = new URL('..', import.meta.url).pathname

/** Four kinds of test: what one room does, published values, who imports whom, and a person at the page. */
export default defineConfig({
  root,
  test: {
    projects: [
      project('unit', ['tests/server/**/*.test.ts', 'tests/client/**/*.test.{ts,tsx}', 'tests/demo/**/*.test.ts']),
      project('reference', ['tests/reference/**/*.test.ts']),
      project('architecture', ['tests/architecture/**/*.test.ts']),
      // One browser at a time: several software renderers at once starve each other's sound.
      project('browser', ['tests/browser/**/*.test.ts'], {
        fileParallelism: false,
        testTimeout: 90_000,
        hookTimeout: 90_000,
      }),
    ],
  },
})

function project(name: string, include: string[], more: Record<string, unknown> = {}) {
  return {
    root,
    test: {
      name,
      include,
      environment: 'node',
      testTimeout: 30_000,
      hookTimeout: 60_000,
      maxWorkers: 2,
      ...more,
    },
  }
}
