/** A program that answers items one after another and tells each on its output once it is written; ended from outside. Arguments: library folder. */
import { LearnStore } from '../../../server/library/learnStore.ts'

const store = new LearnStore(process.argv[2]!, () => 1_900_000_000)
for (let i = 0; ; i++) {
  store.write('stage', {
    entries: [
      {
        id: `answer-${i}`,
        stage: 'stage',
        item: `call-${i % 50}:say`,
        device: store.device,
        turn: store.nextTurn(),
        at: 1_900_000_000 + i,
        how: 'self',
        grade: 'in time',
        seconds: 3,
        said: '',
        day: '2030-03-17',
        setBack: false,
        claimed: null,
        features: null,
      },
    ],
    items: [
      {
        id: `call-${i % 50}:say`,
        memory: {
          stability: 1,
          difficulty: 5,
          graded: 1_900_000_000 + i,
          met: 1_900_000_000 + i,
          successes: 1,
          others: 0,
        },
        changed: false,
      },
    ],
  })
  process.stdout.write(`${i}\n`)
}
