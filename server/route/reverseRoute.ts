import type { RoadFeature, Route } from './route.ts'

/**
 * The same road driven from its end to its start: station s was length − s. Headings turn by π, curvature, grade and bank change sign, left corners are
 * right ones; vertical curvature stays, for a crest is one from both sides. The route is not changed.
 */
export function reverseRoute(route: Route): Route {
  const mirrored = (values: Float64Array) => values.slice().reverse()
  const turned = (values: Float64Array) => mirrored(values).map((one) => (one === 0 ? 0 : -one))
  return {
    ...route,
    x: mirrored(route.x),
    y: mirrored(route.y),
    z: mirrored(route.z),
    heading: mirrored(route.heading).map((one) => Math.atan2(-Math.sin(one), -Math.cos(one))),
    curvature: turned(route.curvature),
    grade: turned(route.grade),
    verticalCurvature: mirrored(route.verticalCurvature),
    ...(route.width ? { width: mirrored(route.width) } : {}),
    ...(route.bank ? { bank: turned(route.bank) } : {}),
    features: route.features.map((one) => turnedRound(one, route.length)).reverse(),
  }
}

function turnedRound(one: RoadFeature, length: number): RoadFeature {
  const ends = { from: length - one.to, to: length - one.from }
  if (one.kind === 'crest') return { ...one, ...ends, at: length - one.at }
  return { ...one, ...ends, side: one.side === 'left' ? 'right' : 'left' }
}
