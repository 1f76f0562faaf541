/** A page that cannot be shown, and why. */
export function ProblemPage({ text }: { text: string }) {
  return (
    <main>
      <p className="problem" role="alert">
        {text}
      </p>
    </main>
  )
}
