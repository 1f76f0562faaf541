import type { Problem } from '../../server/api/wire.ts'

/** A request the server could not meet; its message is the server's sentence. */
export class RequestProblem extends Error {
  override readonly name = 'RequestProblem'
  readonly status: number

  constructor(problem: Problem) {
    super(problem.detail)
    this.status = problem.status
  }
}

const GONE: Problem = {
  type: 'about:blank',
  title: 'No answer',
  status: 0,
  detail:
    'Say When does not answer. Is it still running? Start it again with npm start; what you typed is kept in this browser.',
}

/** JSON of an API path. Rejects with RequestProblem. */
export async function request<T>(path: string, init?: RequestInit): Promise<T> {
  let response: Response
  try {
    response = await fetch(`/api${path}`, init)
  } catch {
    throw new RequestProblem(GONE)
  }
  if (response.status === 204) return undefined as T
  const body = await response.text()
  if (response.ok) return JSON.parse(body) as T
  let problem: Problem
  try {
    problem = JSON.parse(body) as Problem
  } catch {
    problem = { ...GONE, status: response.status }
  }
  throw new RequestProblem(problem)
}

export const send = (method: string, body: unknown): RequestInit => ({
  method,
  headers: { 'content-type': 'application/json' },
  body: JSON.stringify(body),
})
