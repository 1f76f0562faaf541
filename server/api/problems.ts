import type { Response } from 'express'
import { ZodError } from 'zod'
import type { Problem } from './wire.ts'

/** Errors that say in one sentence what is wrong with what was asked, by name; anything else is ours. */
const STATUS: Readonly<Record<string, number>> = {
  RouteFileError: 422,
  StageProblem: 422,
  UnreachableTarget: 422,
  SpeechError: 503,
  PrintError: 503,
}

/** Problem details (RFC 9457, from memory) of whatever was thrown. What is our own fault is not described to the outside. */
export function problemOf(error: unknown): Problem {
  if (error instanceof ZodError) {
    const first = error.issues[0]!
    const where = first.path.length > 0 ? ` at "${first.path.join('.')}"` : ''
    return {
      type: 'about:blank',
      title: 'The request is not of the right form',
      status: 400,
      detail: `${first.message}${where}.`,
    }
  }
  const known = error as { name?: string; message?: string; status?: number; type?: string; limit?: number }
  if (known.type === 'entity.too.large')
    return {
      type: 'about:blank',
      title: 'Too large',
      status: 413,
      detail: `This is larger than ${Math.round((known.limit ?? 0) / 2 ** 20)} MB, the most that is read here; send less of it, such as a shorter stretch.`,
    }
  if (known.type?.startsWith('entity.') || known.type?.startsWith('encoding.'))
    return { type: 'about:blank', title: 'Unreadable request', status: 400, detail: 'The request is not valid JSON.' }
  // What the static files say of a path that leads nowhere, or out of their folder.
  if (
    ['NotFoundError', 'ForbiddenError', 'BadRequestError', 'URIError'].includes(known.name ?? '') &&
    known.status !== undefined
  )
    return { type: 'about:blank', title: 'Not here', status: known.status, detail: 'There is nothing of that name.' }
  const status =
    known.name === 'LibraryError'
      ? (known.status ?? 500)
      : (STATUS[known.name ?? ''] ?? (/^There is no (car|surface) /.test(known.message ?? '') ? 400 : 500))
  if (status === 500)
    return {
      type: 'about:blank',
      title: 'Something went wrong here',
      status,
      detail: 'The server could not do this; nothing was changed. Its own log says more.',
    }
  return { type: 'about:blank', title: TITLES[status] ?? 'Not possible', status, detail: known.message ?? '' }
}

const TITLES: Readonly<Record<number, string>> = {
  400: 'Not possible',
  404: 'Not here',
  409: 'Changed elsewhere',
  422: 'Cannot be used as it is',
  503: 'No voice',
  507: 'Cannot be saved',
}

export function sendProblem(response: Response, problem: Problem): void {
  response.status(problem.status).type('application/problem+json').send(JSON.stringify(problem))
}
