import type { Car } from './speed.ts'

const MEMORY = 'from memory, crew aboard; a generic car of its kind, no one make'

/** Generic cars (windows.md §2, all values from memory). */
export const CARS: readonly Car[] = [
  {
    id: 'front-drive-club',
    name: 'front-drive club car',
    mass: 1250,
    power: 90_000,
    share: 0.6,
    dragArea: 0.75,
    topSpeed: 47,
    source: MEMORY,
  },
  {
    id: 'front-drive-sport',
    name: 'front-drive sport',
    mass: 1280,
    power: 140_000,
    share: 0.62,
    dragArea: 0.85,
    topSpeed: 52,
    source: MEMORY,
  },
  {
    id: 'four-wheel-drive',
    name: 'four-wheel-drive turbo',
    mass: 1390,
    power: 205_000,
    share: 1,
    dragArea: 0.95,
    topSpeed: 55,
    source: MEMORY,
  },
]

/** The car of that id. Throws RangeError naming those there are. */
export function findCar(id: string): Car {
  const car = CARS.find((one) => one.id === id)
  if (!car) throw new RangeError(`There is no car "${id}"; there are ${CARS.map((one) => one.id).join(', ')}.`)
  return car
}
