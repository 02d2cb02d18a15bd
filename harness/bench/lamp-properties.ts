import type { Dimension } from '../units/unit.ts';
import { type Lamp, mostSlots, slotCount } from './lamp.ts';

/** What a lamp can say of itself. */
export interface PropertyFacts {
  /** The link that it is asked on: memory banks of DALI gear, or RDM on a DMX512 line. */
  readonly link: 'dali' | 'dmx';
  /** For people. */
  readonly title: string;
  /** `energy` is in J, and only metrics read it. */
  readonly dimension: Dimension | 'energy';
  /** It stands still, only grows, or changes as it likes. */
  readonly moves: 'never' | 'up' | 'freely';
  /** Bytes that it takes on its link, with those that scale it. */
  readonly bytes: number;
  /** It can be set. */
  readonly settable?: true;
  /** What the lamp file says that it is, SI; absent where the file does not say it. */
  readonly promised?: (lamp: Lamp) => number | undefined;
  /** A value that is not the one of the lamp file and has nothing in common with it; absent where there is no such. */
  readonly elsewhere?: (lamp: Lamp) => number | undefined;
}

const fixed = (
  title: string,
  dimension: Dimension,
  bytes: number,
  promised: (lamp: Lamp) => number | undefined,
): PropertyFacts => ({ link: 'dali', title, dimension, bytes, moves: 'never', promised });

const counter = (title: string, dimension: Dimension, bytes: number): PropertyFacts => ({
  link: 'dali',
  title,
  dimension,
  bytes,
  moves: 'up',
});

const gauge = (title: string, dimension: Dimension, bytes: number): PropertyFacts => ({
  link: 'dali',
  title,
  dimension,
  bytes,
  moves: 'freely',
});

/** Of RDM, set by a controller, and standing still otherwise. */
const setting = (title: string, dimension: Dimension, bytes: number): PropertyFacts => ({
  link: 'dmx',
  title,
  dimension,
  bytes,
  moves: 'never',
  settable: true,
});

/** In the memory banks of DALI gear. */
const bankProperties = {
  'luminaire-input-power': fixed(
    'Nominal input power',
    'power',
    2,
    ({ links }) => links.dali?.luminaire?.inputPower,
  ),
  'luminaire-minimum-power': fixed(
    'Input power at the lowest level',
    'power',
    2,
    ({ links }) => links.dali?.luminaire?.minimumPower,
  ),
  'luminaire-light': fixed(
    'Nominal luminous flux',
    'luminous-flux',
    3,
    ({ links }) => links.dali?.luminaire?.light,
  ),
  'luminaire-cri': fixed(
    'Nominal colour rendering index',
    'number',
    1,
    ({ links }) => links.dali?.luminaire?.cri,
  ),
  'luminaire-cct': fixed(
    'Nominal colour temperature',
    'colour-temperature',
    2,
    ({ links }) => links.dali?.luminaire?.cct,
  ),
  'rated-life': fixed('Rated life', 'time', 1, ({ links }) => links.dali?.luminaire?.life),
  'rated-starts': fixed('Rated starts', 'number', 2, ({ links }) => links.dali?.luminaire?.starts),
  'active-energy': {
    link: 'dali',
    title: 'Active energy',
    dimension: 'energy',
    moves: 'up',
    bytes: 7,
  },
  'active-power': gauge('Active power', 'power', 5),
  'gear-operating-time': counter('Operating time of the gear', 'time', 4),
  'gear-starts': counter('Starts of the gear', 'number', 3),
  'gear-supply-voltage': gauge('Supply voltage at the gear', 'voltage', 2),
  'gear-temperature': gauge('Temperature of the gear', 'temperature', 1),
  'light-starts': counter('Starts of the light source', 'number', 3),
  'light-on-time': counter('On-time of the light source', 'time', 4),
  'light-temperature': gauge('Temperature of the light source', 'temperature', 1),
} as const satisfies Readonly<Record<string, PropertyFacts>>;

/** A start address from which none of the slots of the lamp file is read: the first slots, or else those behind its own. */
function startElsewhere({ links, channels }: Lamp): number | undefined {
  if (!links.dmx) return undefined;
  const { firstSlot } = links.dmx;
  const count = slotCount(links.dmx, channels.length);
  const start = firstSlot > count ? 1 : firstSlot + count;
  return start + count - 1 <= mostSlots ? start : undefined;
}

/** By RDM. */
const rdmProperties = {
  'dmx-start-address': {
    ...setting('DMX512 start address', 'number', 2),
    promised: ({ links }: Lamp) => links.dmx?.firstSlot,
    elsewhere: startElsewhere,
  },
  'dmx-footprint': {
    link: 'dmx',
    title: 'DMX512 footprint',
    dimension: 'number',
    bytes: 19,
    moves: 'never',
    promised: ({ links, channels }: Lamp) => links.dmx && slotCount(links.dmx, channels.length),
  },
  'dmx-personality': setting('DMX512 personality', 'number', 2),
  'identify-state': setting('State of identification', 'number', 1),
  'minimum-level': setting('Minimum level', 'ratio', 5),
  'curve-setting': setting('Number of the dimming curve', 'number', 2),
  'response-time-setting': setting('Number of the output response time', 'number', 2),
  'modulation-frequency-setting': setting('Number of the modulation frequency', 'number', 2),
} as const satisfies Readonly<Record<string, PropertyFacts>>;

export type BankProperty = keyof typeof bankProperties;
export type RdmProperty = keyof typeof rdmProperties;
export type LampProperty = BankProperty | RdmProperty;

/** Every property that a spec may ask for. */
export const lampProperties: Readonly<Record<LampProperty, PropertyFacts>> = {
  ...bankProperties,
  ...rdmProperties,
};

export const propertyNames = Object.keys(lampProperties) as readonly LampProperty[];

export function isProperty(name: string): name is LampProperty {
  return Object.hasOwn(lampProperties, name);
}

export function isBankProperty(name: LampProperty): name is BankProperty {
  return Object.hasOwn(bankProperties, name);
}
