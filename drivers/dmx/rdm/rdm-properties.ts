import type { RdmProperty } from '../../../harness/bench/lamp-properties.ts';
import { decodeDeviceInfo, parameter } from './parameters.ts';
import { word } from './rdm-packet.ts';

/** How a property stands in the data of a parameter, SI. */
export interface RdmPlace {
  readonly parameter: number;
  readonly resolution: number;
  /** Null where the data are too short. */
  decode(data: readonly number[]): number | null;
  /** What a SET carries; absent where it can only be read. */
  encode?(value: number): readonly number[];
}

const wide = 65_535;

const at = (data: readonly number[], index: number): number | null => data[index] ?? null;
const wordAt = (data: readonly number[], index: number): number | null =>
  data.length < index + 2 ? null : 256 * (data[index] ?? 0) + (data[index + 1] ?? 0);

/** One of several settings, numbered from 1 on. */
const setting = (own: number): RdmPlace => ({
  parameter: own,
  resolution: 1,
  decode: (data) => at(data, 0),
  encode: (value) => [value & 0xff],
});

/** ANSI E1.20-2010 and E1.37-1-2012, from memory. */
export const rdmPlaces: Readonly<Record<RdmProperty, RdmPlace>> = {
  'dmx-start-address': {
    parameter: parameter.startAddress,
    resolution: 1,
    decode: (data) => wordAt(data, 0),
    encode: word,
  },
  'dmx-footprint': {
    parameter: parameter.deviceInfo,
    resolution: 1,
    decode: (data) => decodeDeviceInfo(data)?.footprint ?? null,
  },
  'dmx-personality': setting(parameter.personality),
  'identify-state': setting(parameter.identifyDevice),
  'minimum-level': {
    parameter: parameter.minimumLevel,
    resolution: 1 / wide,
    decode(data) {
      const value = wordAt(data, 0);
      return value === null ? null : value / wide;
    },
    /** The same for rising and falling levels; 0 is dark all the same. */
    encode(value) {
      const level = word(Math.round(value * wide));
      return [...level, ...level, 0];
    },
  },
  'curve-setting': setting(parameter.curve),
  'response-time-setting': setting(parameter.outputResponseTime),
  'modulation-frequency-setting': setting(parameter.modulationFrequency),
};
