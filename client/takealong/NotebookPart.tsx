import { useEffect, useState } from 'react'
import { request } from '../connection/request.ts'

/** The printed notebook: paper, type, words; opened for printing, or as a PDF where the host can make one. */
export function NotebookPart({ stageId }: { stageId: string }) {
  const [paper, setPaper] = useState('A5')
  const [landscape, setLandscape] = useState('0')
  const [type, setType] = useState('')
  const [words, setWords] = useState('typed')
  const [pdf, setPdf] = useState(false)
  useEffect(() => {
    request<{ pdf: boolean }>('/printing').then(
      (answer) => setPdf(answer.pdf),
      () => {},
    )
  }, [])
  const query = new URLSearchParams({ paper, landscape, words, ...(type === '' ? {} : { type }) })
  return (
    <section className="stack rule" aria-labelledby="notebook">
      <h2 id="notebook">Notebook</h2>
      <p className="soft">
        Pages end where there is time to turn one (1.2 s of a hand), never inside a crunch; a page that must is marked.
      </p>
      <div className="row">
        <label>
          Paper{' '}
          <select value={paper} onChange={(event) => setPaper(event.target.value)}>
            <option>A5</option>
            <option>A6</option>
          </select>
        </label>
        <label>
          Held{' '}
          <select value={landscape} onChange={(event) => setLandscape(event.target.value)}>
            <option value="0">upright</option>
            <option value="1">across</option>
          </select>
        </label>
        <label>
          Type{' '}
          <select value={type} onChange={(event) => setType(event.target.value)}>
            <option value="">usual</option>
            {[10, 12, 14, 16, 18, 20, 24].map((size) => (
              <option key={size} value={size}>
                {size} pt
              </option>
            ))}
          </select>
        </label>
        <label>
          Words{' '}
          <select value={words} onChange={(event) => setWords(event.target.value)}>
            <option value="typed">as you typed them</option>
            <option value="said">as they are said</option>
          </select>
        </label>
      </div>
      <div className="row">
        <a className="button" href={`/api/stages/${stageId}/notebook?${query}`} target="_blank" rel="noreferrer">
          Open for printing
        </a>
        {pdf && (
          <a className="button" href={`/api/stages/${stageId}/notebook.pdf?${query}`} download>
            Download as PDF
          </a>
        )}
      </div>
    </section>
  )
}
