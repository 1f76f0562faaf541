import { buildRoute } from '../../../server/route/buildRoute.ts'
import { importRoute } from '../../../server/route/importRoute.ts'
import type { Route } from '../../../server/route/route.ts'

/** A designed road: 100 m straight, a quarter circle of 50 m to the left, 100 m straight, rising 5 in 100. */
export function bentRoad(): Route {
  const arc = (Math.PI / 2) * 50
  const xml = `<OpenDRIVE><road id="1" junction="-1"><planView>
    <geometry s="0" x="0" y="0" hdg="0" length="100"><line/></geometry>
    <geometry s="100" x="100" y="0" hdg="0" length="${arc}"><arc curvature="0.02"/></geometry>
    <geometry s="${100 + arc}" x="150" y="50" hdg="${Math.PI / 2}" length="100"><line/></geometry>
  </planView><elevationProfile><elevation s="0" a="10" b="0.05" c="0" d="0"/></elevationProfile>
  <lateralProfile><superelevation s="0" a="0.03" b="0" c="0" d="0"/></lateralProfile></road></OpenDRIVE>`
  return buildRoute(importRoute(new TextEncoder().encode(xml), 'bent.xodr'))
}
