import { request, send } from '../connection/request.ts'

export interface Heard {
  readonly hash: string
  readonly seconds: number
  readonly timing: 'engine' | 'estimated'
  readonly said: string
}

/** Has a text said and plays it, from a person's own click. Resolves when it has begun; rejects with the server's sentence. */
export async function hear(ask: Readonly<Record<string, unknown>>): Promise<Heard> {
  const heard = await request<Heard>('/voices/hear', send('POST', ask))
  await new Audio(`/api/clips/${heard.hash}`).play()
  return heard
}
