import type { RawMessage } from '../../bench/ports.ts';
import type { DaliCommand } from './dali-commands.ts';

/** Device type of colour control gear: ENABLE DEVICE TYPE goes before each of its commands. */
const colourGear = 8;

const plain = (code: number): DaliCommand => ({ kind: 'opcode', code, deviceType: colourGear });

/**
 * Commands of colour control gear, IEC 62386-209; codes confirmed in public texts. Their values come from the data transfer
 * registers.
 */
export const colourCommands: Readonly<Record<string, DaliCommand>> = {
  activate: plain(0xe2),
  'set-temporary-temperature': plain(0xe7),
  'step-cooler': plain(0xe8),
  'step-warmer': plain(0xe9),
  'set-temporary-primary': plain(0xea),
  'set-temporary-rgb': plain(0xeb),
  'set-temporary-waf': plain(0xec),
  'store-temperature-limit': plain(0xf2),
  'store-gear-features': plain(0xf3),
  'query-gear-features': plain(0xf7),
  'query-colour-status': plain(0xf8),
  'query-colour-type-features': plain(0xf9),
  'query-colour-value': plain(0xfa),
};

/** mirek = 10^6 / K: the unit of colour temperatures on DALI, rounded once. */
export function mirekOf(kelvin: number): number {
  return Math.round(1e6 / kelvin);
}

/** Special commands that fill the registers. */
const dtr0 = 0xa3;
const dtr1 = 0xc3;

/** What takes gear at a short address to a colour temperature: the value, its command, and its start. */
export function temperatureMessages(mirek: number, shortAddress: number): readonly RawMessage[] {
  const command = (code: number): RawMessage => ({
    link: 'dali',
    frame: [(shortAddress << 1) | 1, code],
    deviceType: colourGear,
  });
  return [
    { link: 'dali', frame: [dtr0, mirek & 0xff] },
    { link: 'dali', frame: [dtr1, mirek >> 8] },
    command(0xe7),
    command(0xe2),
  ];
}
