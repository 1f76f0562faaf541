import type { CaptionsTaken } from '../../server/api/wireNotes.ts'
import { request } from './request.ts'

/** Sends a file of captions to its stage and gives the notes in it. */
export const takeCaptions = (stageId: string, file: File): Promise<CaptionsTaken> =>
  request<CaptionsTaken>(`/stages/${stageId}/notes/captions`, {
    method: 'PUT',
    body: file,
    headers: { 'content-type': 'application/octet-stream' },
  })
