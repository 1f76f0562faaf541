import { useEffect, useState } from 'react'
import { request } from './request.ts'

/** What an API path answers, loaded once for each path; until then, or where it cannot be had, null. `problem` says why, in words. */
export function useLoaded<T>(path: string): { readonly loaded: T | null; readonly problem: string | null } {
  const [loaded, setLoaded] = useState<T | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  useEffect(() => {
    let alive = true
    request<T>(path).then(
      (answer) => alive && setLoaded(answer),
      (error: Error) => alive && setProblem(error.message),
    )
    return () => {
      alive = false
    }
  }, [path])
  return { loaded, problem }
}
