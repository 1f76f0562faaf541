import type { RoadChoice, RoadFileUse, RoadNews } from '../../server/api/wireRoad.ts'
import { RequestProblem } from './request.ts'

/** Sends a road file and hears line by line what is being done with it. Resolves to the road; rejects with RequestProblem. */
export async function sendRoadFile(
  stage: string,
  file: File,
  use: RoadFileUse,
  hear: (doing: string, done: number) => void,
): Promise<RoadChoice> {
  hear(`sending ${file.name}`, 0)
  const query = new URLSearchParams({ name: file.name, use })
  const response = await fetch(`/api/stages/${stage}/road/files?${query}`, {
    method: 'POST',
    body: file,
    headers: { 'content-type': 'application/octet-stream' },
  }).catch(() => null)
  if (!response?.body) throw problem(0, 'Say When does not answer. Is it still running? The file was not taken in.')
  if (!response.ok) throw problem(response.status, ((await response.json()) as { detail: string }).detail)
  const reader = response.body.pipeThrough(new TextDecoderStream()).getReader()
  let rest = ''
  for (;;) {
    const { value, done } = await reader.read()
    rest += value ?? ''
    const lines = rest.split('\n')
    rest = lines.pop()!
    for (const line of lines) {
      const news = JSON.parse(line) as RoadNews
      if ('road' in news) return news.road
      if ('problem' in news) throw problem(news.problem.status, news.problem.detail)
      hear(news.doing, news.done)
    }
    if (done) throw problem(0, 'Say When stopped before the road was built; the road before is kept.')
  }
}

const problem = (status: number, detail: string) =>
  new RequestProblem({ type: 'about:blank', title: 'Road file', status, detail })
