import type { Heard } from '../../bench/heard.ts';
import { plainLine } from '../../files/plain-text.ts';

/** So many characters of a message, and so many slots of a frame, are shown. */
const mostCharacters = 60;
const mostSlots = 16;

/** What was sent to a lamp, for people, with its instant. */
export function heardWords(event: Heard): string {
  return `${what(event)} at ${event.at.toFixed(3)} s`;
}

function what(event: Heard): string {
  switch (event.kind) {
    case 'console':
      return `console “${plainLine(event.line).slice(0, mostCharacters)}”`;
    case 'console-bytes':
      return `${event.bytes.length} bytes on the console`;
    case 'dali':
      return `DALI ${hex(event.frame)}`;
    case 'dali-bus':
      return event.powered ? 'DALI bus powered' : 'DALI bus without power';
    case 'dmx':
      return `DMX512 ${event.startCode === 0 ? '' : `start code ${event.startCode} `}${slots(event.slots)}`;
    case 'dmx-stops':
      return 'DMX512 stopped';
    case 'sacn':
      return 'sACN packet';
    case 'supply':
      return event.volts > 0 ? `supply ${event.volts} V` : 'supply off';
    case 'reset':
      return 'reset';
    case 'air':
      return `air ${event.celsius} °C`;
  }
}

function hex(bytes: readonly number[]): string {
  return bytes.map((byte) => byte.toString(16).padStart(2, '0').toUpperCase()).join(' ');
}

function slots(values: readonly number[]): string {
  const shown = values.slice(0, mostSlots).join(' ');
  return values.length > mostSlots ? `${shown} …` : shown;
}
