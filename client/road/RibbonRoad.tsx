import { Canvas, useFrame, useThree } from '@react-three/fiber'
import { useLayoutEffect, useMemo, useRef } from 'react'
import { BackSide, Color, DoubleSide, type InstancedMesh, Matrix4, Object3D, type PerspectiveCamera } from 'three'
import type { RoadTable } from '../../server/api/wire.ts'
import { HALF_ROAD, type StripName, strip } from './ribbonGeometry.ts'
import { type RoadPoint, roadPoint } from './roadLookup.ts'

/** Dusk: sky, plain land, pale road, ink edges, and one colour for "act here". */
const COLOURS: Record<StripName, string> = {
  road: '#b9b1a0',
  leftEdge: '#23282e',
  rightEdge: '#23282e',
  leftVerge: '#8d9078',
  rightVerge: '#8d9078',
  leftLand: '#7b826c',
  rightLand: '#7b826c',
}
const HAZE = '#c5c0ae'
const MARK = '#58c4bb'
/** The driver's eye over the road, and how far ahead its height is looked at for pitch, metres. */
const EYE = 1.2
const PITCH_AHEAD = 14
const POST_EVERY = 20

export interface RibbonRoadProps {
  readonly road: RoadTable
  /** Stations of the act-by lines. */
  readonly marks: readonly number[]
  /** Where the car is now, metres; asked once a frame. */
  readonly stationNow: () => number
  readonly onFrame?: (scriptMs: number, drawCalls: number) => void
}

/** The road from the driver's seat. Everything is built once; a frame moves the eye and nothing else. */
export function RibbonRoad(props: RibbonRoadProps) {
  return (
    <Canvas
      flat
      dpr={[1, 1.5]}
      gl={{ antialias: true, powerPreference: 'high-performance' }}
      camera={{ fov: 62, near: 0.3, far: 2200 }}
      aria-hidden="true"
    >
      <fog attach="fog" args={[HAZE, 120, 1500]} />
      <Sky />
      <Land road={props.road} />
      {(Object.keys(COLOURS) as StripName[]).map((name) => (
        <Strip key={name} road={props.road} name={name} />
      ))}
      <Posts road={props.road} />
      <Marks road={props.road} marks={props.marks} />
      <Eye {...props} />
    </Canvas>
  )
}

function Strip({ road, name }: { road: RoadTable; name: StripName }) {
  const geometry = useMemo(() => strip(road, name), [road, name])
  return (
    <mesh geometry={geometry} frustumCulled={false}>
      <meshBasicMaterial color={COLOURS[name]} side={DoubleSide} />
    </mesh>
  )
}

/** Far land under everything, well below the road so that it never shows through. */
function Land({ road }: { road: RoadTable }) {
  const low = useMemo(() => Math.min(...road.z) - 6, [road])
  const middle = road.x.length >> 1
  return (
    <mesh rotation-x={-Math.PI / 2} position={[road.x[middle]!, low, -road.y[middle]!]}>
      <planeGeometry args={[40_000, 40_000]} />
      <meshBasicMaterial color="#6f7763" />
    </mesh>
  )
}

function Sky() {
  const mesh = useRef<Object3D>(null)
  const material = useMemo(
    () => ({ uniforms: { high: { value: new Color('#34485e') }, low: { value: new Color(HAZE) } } }),
    [],
  )
  useFrame(({ camera }) => {
    mesh.current?.position.copy(camera.position)
  })
  return (
    <mesh ref={mesh as never} renderOrder={-1}>
      <sphereGeometry args={[1800, 24, 16]} />
      <shaderMaterial
        side={BackSide}
        depthWrite={false}
        fog={false}
        uniforms={material.uniforms}
        vertexShader="varying float h; void main() { h = normalize(position).y; gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }"
        fragmentShader={
          'uniform vec3 high; uniform vec3 low; varying float h; void main() { gl_FragColor = vec4(mix(low, high, smoothstep(-0.02, 0.42, h)), 1.0);\n#include <colorspace_fragment>\n}'
        }
      />
    </mesh>
  )
}

/** Posts every 20 m on both sides, taller at 100 m: distance and speed to the eye. */
function Posts({ road }: { road: RoadTable }) {
  const mesh = useRef<InstancedMesh>(null)
  const stations = useMemo(
    () => Array.from({ length: Math.floor(road.length / POST_EVERY) }, (_, i) => (i + 1) * POST_EVERY),
    [road],
  )
  useLayoutEffect(() => {
    const point: RoadPoint = { x: 0, y: 0, z: 0, heading: 0 }
    const dummy = new Object3D()
    stations.forEach((station, i) => {
      roadPoint(road, station, point)
      const tall = station % 100 === 0
      for (const side of [1, -1]) {
        const off = (HALF_ROAD + 0.9) * side
        dummy.position.set(
          point.x - Math.sin(point.heading) * off,
          point.z + (tall ? 0.55 : 0.3),
          -(point.y + Math.cos(point.heading) * off),
        )
        dummy.scale.set(tall ? 0.16 : 0.09, tall ? 1.3 : 0.75, tall ? 0.16 : 0.09)
        dummy.updateMatrix()
        mesh.current?.setMatrixAt(i * 2 + (side > 0 ? 0 : 1), dummy.matrix)
      }
    })
    if (mesh.current) mesh.current.instanceMatrix.needsUpdate = true
  }, [road, stations])
  return (
    <instancedMesh
      key={stations.length}
      ref={mesh}
      args={[undefined, undefined, Math.max(1, stations.length * 2)]}
      frustumCulled={false}
    >
      <boxGeometry />
      <meshBasicMaterial color="#f2eee4" />
    </instancedMesh>
  )
}

/** A thin line across the road where the driver must act: said before the line. */
function Marks({ road, marks }: { road: RoadTable; marks: readonly number[] }) {
  const mesh = useRef<InstancedMesh>(null)
  useLayoutEffect(() => {
    const point: RoadPoint = { x: 0, y: 0, z: 0, heading: 0 }
    const dummy = new Object3D()
    marks.forEach((station, i) => {
      roadPoint(road, station, point)
      dummy.position.set(point.x, point.z + 0.03, -point.y)
      dummy.rotation.set(0, point.heading, 0)
      dummy.scale.set(0.4, 0.02, HALF_ROAD * 2 + 0.5)
      dummy.updateMatrix()
      mesh.current?.setMatrixAt(i, dummy.matrix)
    })
    for (let i = marks.length; i < (mesh.current?.count ?? 0); i++) mesh.current?.setMatrixAt(i, HIDDEN)
    if (mesh.current) mesh.current.instanceMatrix.needsUpdate = true
  }, [road, marks])
  return (
    <instancedMesh
      key={marks.length}
      ref={mesh}
      args={[undefined, undefined, Math.max(1, marks.length)]}
      frustumCulled={false}
    >
      <boxGeometry />
      <meshBasicMaterial color={MARK} />
    </instancedMesh>
  )
}

const HIDDEN = new Matrix4().makeScale(0, 0, 0)

function Eye({ road, stationNow, onFrame }: RibbonRoadProps) {
  const { gl } = useThree()
  const here = useRef<RoadPoint>({ x: 0, y: 0, z: 0, heading: 0 })
  const ahead = useRef<RoadPoint>({ x: 0, y: 0, z: 0, heading: 0 })
  useFrame(({ camera }) => {
    const began = performance.now()
    const station = stationNow()
    const a = here.current
    const b = ahead.current
    roadPoint(road, station, a)
    roadPoint(road, station + PITCH_AHEAD, b)
    const eye = camera as PerspectiveCamera
    eye.position.set(a.x, a.z + EYE, -a.y)
    eye.rotation.order = 'YXZ'
    eye.rotation.y = a.heading - Math.PI / 2
    eye.rotation.x = Math.atan2(b.z - a.z, PITCH_AHEAD) * 0.7
    onFrame?.(performance.now() - began, gl.info.render.calls)
  })
  return null
}
