import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { assembleRoad } from '../../server/route/assembleRoad.ts'
import { sharedPath } from '../sharedData.ts'

/** What becomes of every odd file of the open set (its INDEX.md says what each shows): kilometres and what is told of it, or the sentence it is refused with. */
const FILES: readonly (
  | readonly [file: string, km: number, told: readonly string[]]
  | readonly [file: string, refusal: string]
)[] = [
  [
    'gpx_odd/Black_Forest_01_Baden.gpx',
    218.68,
    [
      'times too far apart to use; taken as a drawn line',
      'no heights in the file; the road is level',
      'steps of more than 1 km from point to point, drawn straight',
    ],
  ],
  [
    'gpx_odd/bad.gpx',
    'holds no road: none of its 2 points has a usable position. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/bendgc-expected.gpx',
    'holds no road: no two of its points are nearer to each other than 100 km. Export one road.',
  ],
  [
    'gpx_odd/bounds-test-track.gpx',
    86.2,
    [
      'other lines in the file, left out: choose them under Road',
      'lines joined to one road, by time or by nearest ends',
      'steps of more than 1 km from point to point, drawn straight',
    ],
  ],
  [
    'gpx_odd/cairn_dateline.gpx',
    'holds no road: it has 2 waypoints but no track. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/cairn_duplicates.gpx',
    'holds no road: it has 8 waypoints but no track. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/cairn_malformed.gpx',
    'cannot be read: the file is not whole XML (unexpected close tag. at line 5); export it again.',
  ],
  [
    'gpx_odd/cairn_poles.gpx',
    'holds no road: it has 2 waypoints but no track. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/cairn_unicode.gpx',
    'holds no road: it has 5 waypoints but no track. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/cairn_xml_chars.gpx',
    'holds no road: it has 1 waypoint but no track. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/cerknicko-jezero-without-elevations.gpx',
    7.93,
    [
      'points without a time, left out',
      'other lines in the file, left out: choose them under Road',
      'lines joined to one road, by time or by nearest ends',
      'times too far apart to use; taken as a drawn line',
      'no heights in the file; the road is level',
      'steps of more than 1 km from point to point, drawn straight',
    ],
  ],
  [
    'gpx_odd/cerknicko-without-times.gpx',
    2.87,
    [
      'other lines in the file, left out: choose them under Road',
      'lines joined to one road, by time or by nearest ends',
    ],
  ],
  ['gpx_odd/empty_trk.gpx', 'holds no road: it has no track or route points. Record or draw a track and export that.'],
  [
    'gpx_odd/garminBaseCampExport-truncated.gpx',
    'cannot be read: the file is not whole XML (unclosed tag: wpt at line 58); export it again.',
  ],
  [
    'gpx_odd/gpsbabel_empty.gpx',
    'holds no road: it has no track or route points. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/gpx-with-node-with-comments.gpx',
    'holds no road: only one of its points has a usable position. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/gpx-without-xml-declaration.gpx',
    'holds no road: only one of its points has a usable position. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/gpx1.0_with_all_fields.gpx',
    'holds no road: no two of its points are nearer to each other than 100 km. Export one road.',
  ],
  [
    'gpx_odd/gpx1.1_with_all_fields.gpx',
    'holds no road: no two of its points are nearer to each other than 100 km. Export one road.',
  ],
  ['gpx_odd/gpx11_with_speed_no_namespace.gpx', 0.08, ['times too far apart to use; taken as a drawn line']],
  ['gpx_odd/gpx_subsecond-sample.gpx', 0.01, ['times too far apart to use; taken as a drawn line']],
  [
    'gpx_odd/gpx_timezone.gpx',
    'holds no road: only one of its points has a usable position. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/gpxfilm_bad_points.gpx',
    0.58,
    [
      'points without a usable position',
      'points at 0° north 0° east, where a receiver has no fix',
      'times too far apart to use; taken as a drawn line',
    ],
  ],
  ['gpx_odd/gpxfilm_time_formats.gpx', 0.69, ['times too far apart to use; taken as a drawn line']],
  [
    'gpx_odd/iso8859-1encoded.gpx',
    'holds no road: it has 8 waypoints but no track. Record or draw a track and export that.',
  ],
  ['gpx_odd/korita-zbevnica.gpx', 8.77, ['other lines in the file, left out: choose them under Road']],
  ['gpx_odd/missing_hr.gpx', 0.13, ['lines joined to one road, by time or by nearest ends']],
  [
    'gpx_odd/multitrackgpx.gpx',
    1.2,
    ['other lines in the file, left out: choose them under Road', 'times too far apart to use; taken as a drawn line'],
  ],
  ['gpx_odd/no_trkpt.gpx', 'holds no road: it has no track or route points. Record or draw a track and export that.'],
  ['gpx_odd/no_trkseg.gpx', 'holds no road: it has no track or route points. Record or draw a track and export that.'],
  ['gpx_odd/one_segment_mixed_times.gpx', 41.47, ['no heights in the file; the road is level']],
  [
    'gpx_odd/opencpn.gpx',
    62.73,
    [
      'times too far apart to use; taken as a drawn line',
      'no heights in the file; the road is level',
      'steps of more than 1 km from point to point, drawn straight',
    ],
  ],
  ['gpx_odd/outdooractive-export.gpx', 45.86, ['steps of more than 1 km from point to point, drawn straight']],
  ['gpx_odd/route.gpx', 6.87, ['no heights in the file; the road is level']],
  ['gpx_odd/setnjica-kod-karojbe.gpx', 5.47, []],
  ['gpx_odd/test-only-wpt.gpx', 0.52, ['no heights in the file; the road is level']],
  [
    'gpx_odd/testgarmincrapfilter.gpx',
    123.37,
    [
      'times too far apart to use; taken as a drawn line',
      'steps of more than 1 km from point to point, drawn straight',
    ],
  ],
  [
    'gpx_odd/testsplitmerge.gpx',
    69.3,
    [
      'other lines in the file, left out: choose them under Road',
      'lines joined to one road, by time or by nearest ends',
    ],
  ],
  ['gpx_odd/testxmnls.gpx', 0.75, ['times too far apart to use; taken as a drawn line']],
  [
    'gpx_odd/tour4-with-uturn.gpx',
    0.42,
    ['times too far apart to use; taken as a drawn line', 'no heights in the file; the road is level'],
  ],
  ['gpx_odd/track-with-empty-segment.gpx', 0.09, ['times too far apart to use; taken as a drawn line']],
  ['gpx_odd/track-with-extremes.gpx', 2.27, []],
  ['gpx_odd/track-with-small-floats.gpx', 9.41, ['steps of more than 1 km from point to point, drawn straight']],
  [
    'gpx_odd/tracks.gpx',
    32.43,
    [
      'lines broken where points lie more than 100 km apart',
      'other lines in the file, left out: choose them under Road',
      'times too far apart to use; taken as a drawn line',
      'steps of more than 1 km from point to point, drawn straight',
    ],
  ],
  [
    'gpx_odd/unicode_with_bom.gpx',
    'holds no road: it has 1 waypoint but no track. Record or draw a track and export that.',
  ],
  [
    'gpx_odd/unique_trkpt.gpx',
    'holds no road: only one of its points has a usable position. Record or draw a track and export that.',
  ],
  ['gpx_odd/waypoints.gpx', 'holds no road: it has 18 waypoints but no track. Record or draw a track and export that.'],
  [
    'gpx_odd/wikipedia_example.gpx',
    'is 0 m long when repeated points are left out; a road needs 10 m at least. Export the whole of it.',
  ],
  [
    'gpx_odd/with_accuracy.gpx',
    1.64,
    [
      'times too far apart to use; taken as a drawn line',
      'steps of more than 1 km from point to point, drawn straight',
    ],
  ],
  ['gpx_odd/with_empty_tracks.gpx', 0.04, []],
  [
    'gpx_odd/zero_elevation.gpx',
    'is 8 m long when repeated points are left out; a road needs 10 m at least. Export the whole of it.',
  ],
  [
    'kml_tcx_geojson/Spa.geojson',
    7.0,
    ['lines joined to one road, by time or by nearest ends', 'no heights in the file; the road is level'],
  ],
  [
    'kml_tcx_geojson/Spielberg.geojson',
    4.31,
    ['lines joined to one road, by time or by nearest ends', 'no heights in the file; the road is level'],
  ],
  ['kml_tcx_geojson/a.geojson', 0.03, ['other lines in the file, left out: choose them under Road']],
  [
    'kml_tcx_geojson/antimeridian_line.geojson',
    'holds no road: no two of its points are nearer to each other than 100 km. Export one road.',
  ],
  [
    'kml_tcx_geojson/antimeridian_line_expected.geojson',
    'holds no road: no two of its points are nearer to each other than 100 km. Export one road.',
  ],
  [
    'kml_tcx_geojson/bad.kml',
    'holds no road: none of its 2 points has a usable position. Draw the road as a path and export that.',
  ],
  [
    'kml_tcx_geojson/bad.tcx',
    'holds no road: no two of its points are nearer to each other than 100 km. Export one road.',
  ],
  [
    'kml_tcx_geojson/bendgc-input.kml',
    'holds no road: no two of its points are nearer to each other than 100 km. Export one road.',
  ],
  [
    'kml_tcx_geojson/earth-gc.kml',
    'holds no road: it has no line or track in it. Draw the road as a path and export that.',
  ],
  ['kml_tcx_geojson/garmin_connect.tcx', 1.81, ['points without a usable position']],
  ['kml_tcx_geojson/gxtrack.kml', 0.53, ['times too far apart to use; taken as a drawn line']],
  [
    'kml_tcx_geojson/kml22_order_location_and_when.kml',
    0.22,
    ['points without a usable position', 'times too far apart to use; taken as a drawn line'],
  ],
  [
    'kml_tcx_geojson/kml22_time_decreases.kml',
    'holds no road: only one of its points has a usable position. Draw the road as a path and export that.',
  ],
  ['kml_tcx_geojson/line_string_data.geojson', 0.22, ['other lines in the file, left out: choose them under Road']],
  ['kml_tcx_geojson/linestring.kml', 0.05, ['other lines in the file, left out: choose them under Road']],
  ['kml_tcx_geojson/mapmyride_biking.tcx', 16.98, ['points without a usable position']],
  [
    'kml_tcx_geojson/multi_line_string_data.geojson',
    0.22,
    ['other lines in the file, left out: choose them under Road'],
  ],
  ['kml_tcx_geojson/multigeometry.kml', 0.03, ['other lines in the file, left out: choose them under Road']],
  ['kml_tcx_geojson/multitrack.kml', 0.04, ['single points left out']],
  ['kml_tcx_geojson/river_run.kml', 13.54, []],
  ['kml_tcx_geojson/river_run.kmz', 13.54, []],
  [
    'kml_tcx_geojson/sample.tcx',
    0.17,
    [
      'points without a usable position',
      'other lines in the file, left out: choose them under Road',
      'times too far apart to use; taken as a drawn line',
    ],
  ],
  ['kml_tcx_geojson/tcx-courses.tcx', 1.67, ['times too far apart to use; taken as a drawn line']],
  [
    'kml_tcx_geojson/test1.kml',
    'holds no road: it has no line or track in it. Draw the road as a path and export that.',
  ],
  [
    'kml_tcx_geojson/test1.kmz',
    'holds no road: it has no line or track in it. Draw the road as a path and export that.',
  ],
  [
    'kml_tcx_geojson/walking_activity_1.tcx',
    4.04,
    ['lines joined to one road, by time or by nearest ends', 'times too far apart to use; taken as a drawn line'],
  ],
]
const DATA = sharedPath('data')
const roadOf = (file: string) =>
  assembleRoad([{ name: file.split('/').at(-1)!, bytes: readFileSync(`${DATA}/${file}`) }], null).route

// Skipped where the open data does not stand beside the checkout.
describe.skipIf(!existsSync(DATA))('files as the world has them', () => {
  it.each(FILES.filter((one) => one.length === 3))(
    '%s is read, %f km long, with what was lost told',
    (file, km, told) => {
      const route = roadOf(file)
      // Lengths are what is said here to a hundredth and 3 %: how a line is smoothed may change, which line it is may not.
      expect(Math.abs(route.length / 1000 - km)).toBeLessThan(0.02 + 0.03 * km)
      for (const one of told) expect(Object.keys(route.losses)).toContain(one)
    },
  )

  it.each(FILES.filter((one) => one.length === 2))('%s is refused: it %s', (file, refusal) => {
    expect(() => roadOf(file)).toThrow(`"${file.split('/').at(-1)}" ${refusal}`)
  })

  it('are all looked at', () => {
    const there = ['gpx_odd', 'kml_tcx_geojson'].flatMap((folder) =>
      readdirSync(`${DATA}/${folder}`).map((name) => `${folder}/${name}`),
    )
    expect(FILES.map(([file]) => file).sort()).toEqual(there.sort())
  })
})
