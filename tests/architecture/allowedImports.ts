export interface Allowed {
  readonly values: readonly string[] | 'all'
  /** Rooms of which only types may be taken, beside those above. */
  readonly types: readonly string[] | 'all'
}

const rooms = (...names: string[]) => names.map((name) => `server/${name}`)
const UNITS = 'server/units.ts'

/** What the two thin rooms on top may take: every room below them, never each other. */
const ABOVE: Allowed = {
  values: [
    UNITS,
    ...rooms(
      'numeric',
      'notes',
      'route',
      'placement',
      'speed',
      'speech',
      'calls',
      'rehearsal',
      'takealong',
      'drill',
      'library',
      'sessions',
    ),
  ],
  types: [],
}

/** Who may import whom on the server: a room imports only from rooms above it, and only those named. */
export const allowedServer: Readonly<Record<string, Allowed>> = {
  [UNITS]: { values: [], types: [] },
  'server/numeric': { values: [UNITS], types: [] },
  'server/notes': { values: [UNITS], types: [] },
  'server/route': { values: [UNITS, ...rooms('numeric')], types: [] },
  'server/placement': {
    values: [UNITS, ...rooms('numeric', 'notes', 'route')],
    types: rooms('speed'),
  },
  'server/speed': { values: [UNITS, ...rooms('numeric', 'route')], types: [] },
  'server/speech': { values: [UNITS, ...rooms('numeric')], types: [] },
  'server/calls': {
    values: [UNITS, ...rooms('numeric', 'notes', 'placement', 'speed')],
    types: rooms('speech', 'route'),
  },
  'server/rehearsal': {
    values: [UNITS, ...rooms('numeric', 'notes', 'route', 'placement', 'speed', 'speech', 'calls')],
    types: [],
  },
  // What a crew takes with it, written from a planned run: tables, captions, the printed notebook.
  'server/takealong': {
    values: [UNITS, ...rooms('numeric', 'notes', 'route', 'placement', 'speed', 'speech', 'calls', 'rehearsal')],
    types: [],
  },
  'server/drill': {
    values: [UNITS, ...rooms('numeric', 'notes')],
    types: rooms('rehearsal', 'calls'),
  },
  'server/library': {
    values: [UNITS],
    types: rooms('notes', 'route', 'placement', 'speed', 'speech', 'calls', 'drill'),
  },
  'server/sessions': {
    values: [UNITS, ...rooms('calls', 'rehearsal', 'library')],
    types: [],
  },
  'server/api': ABOVE,
  'server/cli': ABOVE,
  'server/main.ts': { values: 'all', types: 'all' },
}

const clientRooms = (...names: string[]) => names.map((name) => `client/${name}`)

/** On the client. Every room may also take types, never values, from the server. */
export const allowedClient: Readonly<Record<string, Allowed>> = {
  'client/look': { values: [], types: [] },
  'client/connection': { values: [], types: [] },
  'client/playback': { values: clientRooms('connection'), types: [] },
  'client/road': { values: clientRooms('playback', 'look'), types: [] },
  'client/microphone': { values: clientRooms('playback'), types: [] },
  'client/routes': {
    values: clientRooms('connection', 'road', 'look'),
    types: [],
  },
  'client/editor': {
    values: clientRooms('connection', 'routes', 'look'),
    types: [],
  },
  'client/rehearsal': {
    values: clientRooms('connection', 'playback', 'road', 'microphone', 'look'),
    types: [],
  },
  'client/sessions': {
    values: clientRooms('connection', 'playback', 'road', 'microphone', 'look'),
    types: [],
  },
  'client/drill': {
    values: clientRooms('connection', 'playback', 'microphone', 'road', 'look'),
    types: [],
  },
  'client/takealong': {
    values: clientRooms('connection', 'playback', 'microphone', 'look'),
    types: [],
  },
  'client/library': {
    values: clientRooms('connection', 'look', 'routes'),
    types: [],
  },
  'client/app': { values: 'all', types: 'all' },
  'client/main.tsx': { values: 'all', types: 'all' },
  'client/vite.config.ts': { values: [], types: [] },
}
