/** A DALI command that a spec may call by name, and how its frame is made. IEC 62386-102, confirmed in public texts. */
export interface DaliCommand {
  /** `level`: direct arc power; `opcode`: addressed command; `special`: first byte, no address. */
  readonly kind: 'level' | 'opcode' | 'special';
  /** Opcode, or first byte of a special command; the base where a number is added. */
  readonly code: number;
  /** Largest `value`: added to the opcode, or the second byte; absent where the command takes none. */
  readonly highest?: number;
  /** ENABLE DEVICE TYPE of this number goes before it. */
  readonly deviceType?: number;
}

const plain = (code: number): DaliCommand => ({ kind: 'opcode', code });
const numbered = (code: number): DaliCommand => ({ kind: 'opcode', code, highest: 15 });
const special = (code: number): DaliCommand => ({ kind: 'special', code, highest: 255 });

export const daliCommands: Readonly<Record<string, DaliCommand>> = {
  level: { kind: 'level', code: 0, highest: 255 },
  off: plain(0x00),
  up: plain(0x01),
  down: plain(0x02),
  'step-up': plain(0x03),
  'step-down': plain(0x04),
  'recall-max': plain(0x05),
  'recall-min': plain(0x06),
  'step-down-and-off': plain(0x07),
  'on-and-step-up': plain(0x08),
  'enable-dapc-sequence': plain(0x09),
  'go-to-last-active': plain(0x0a),
  'go-to-scene': numbered(0x10),
  reset: plain(0x20),
  'store-actual-level': plain(0x21),
  'set-max': plain(0x2a),
  'set-min': plain(0x2b),
  'set-system-failure-level': plain(0x2c),
  'set-power-on-level': plain(0x2d),
  'set-fade-time': plain(0x2e),
  'set-fade-rate': plain(0x2f),
  'set-extended-fade-time': plain(0x30),
  'set-scene': numbered(0x40),
  'remove-scene': numbered(0x50),
  'add-group': numbered(0x60),
  'remove-group': numbered(0x70),
  'query-status': plain(0x90),
  'query-gear-present': plain(0x91),
  'query-lamp-failure': plain(0x92),
  'query-lamp-on': plain(0x93),
  'query-limit-error': plain(0x94),
  'query-reset-state': plain(0x95),
  'query-version': plain(0x97),
  'query-dtr0': plain(0x98),
  'query-device-type': plain(0x99),
  'query-physical-minimum': plain(0x9a),
  'query-power-failure': plain(0x9b),
  'query-dtr1': plain(0x9c),
  'query-dtr2': plain(0x9d),
  'query-actual-level': plain(0xa0),
  'query-max': plain(0xa1),
  'query-min': plain(0xa2),
  'query-power-on-level': plain(0xa3),
  'query-system-failure-level': plain(0xa4),
  'query-fade': plain(0xa5),
  'query-extended-fade-time': plain(0xa8),
  'query-scene': numbered(0xb0),
  'query-groups-low': plain(0xc0),
  'query-groups-high': plain(0xc1),
  'set-short-address': plain(0x80),
  'query-missing-short-address': plain(0x96),
  'enable-write-memory': plain(0x81),
  'read-memory': plain(0xc5),
  'query-random-high': plain(0xc2),
  'query-random-middle': plain(0xc3),
  'query-random-low': plain(0xc4),
  terminate: { kind: 'special', code: 0xa1 },
  initialise: special(0xa5),
  randomise: { kind: 'special', code: 0xa7 },
  compare: { kind: 'special', code: 0xa9 },
  withdraw: { kind: 'special', code: 0xab },
  'search-high': special(0xb1),
  'search-middle': special(0xb3),
  'search-low': special(0xb5),
  'program-short-address': special(0xb7),
  'verify-short-address': special(0xb9),
  'query-short-address': { kind: 'special', code: 0xbb },
  'write-memory': special(0xc7),
  'write-memory-silently': special(0xc9),
  dtr0: special(0xa3),
  dtr1: special(0xc3),
  dtr2: special(0xc5),
  'enable-device-type': special(0xc1),
};

/** Special commands that are answered: COMPARE, VERIFY and QUERY SHORT ADDRESS, WRITE MEMORY LOCATION. */
const answeredSpecials: readonly number[] = [0xa9, 0xb9, 0xbb, 0xc7];
/** Special commands that count only when they come twice: INITIALISE and RANDOMISE. */
const doubledSpecials: readonly number[] = [0xa5, 0xa7];

/** Of colour control gear: STORE COLOUR TEMPERATURE LIMIT and STORE GEAR FEATURES go twice, queries begin behind them. */
const doubledTyped: readonly number[] = [0xf2, 0xf3];
const firstTypedQuery = 0xf7;

/** Queries are answered by a backward frame, or by silence for "no". */
export function isQuery({ kind, code, deviceType }: DaliCommand): boolean {
  if (kind === 'special') return answeredSpecials.includes(code);
  return kind === 'opcode' && code >= (deviceType === undefined ? 0x90 : firstTypedQuery);
}

/** Configuration commands count only when they come twice. */
export function isConfiguration({ kind, code, deviceType }: DaliCommand): boolean {
  if (kind === 'special') return doubledSpecials.includes(code);
  if (deviceType !== undefined) return doubledTyped.includes(code);
  return kind === 'opcode' && code >= 0x20 && code <= 0x81;
}
