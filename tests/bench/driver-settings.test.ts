import { describe, expect, it } from 'vitest';
import { driverSettings } from '../../drivers/registry.ts';
import type { Rig } from '../../harness/bench/rig.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import { instrumentSchema } from '../../harness/bench/rig-schema.ts';
import { knownKeys } from '../../harness/files/known-keys.ts';
import { renderIssues } from '../../harness/files/render-issues.ts';

/** A rig file with this instrument in line 5. */
const rigWith = (instrument: string): string => `rig: bench-1
about: A rig for tests
place: here
instruments:
  it: { ${instrument} }
wiring: []
links: { console: it }
safe: { lamp: off, supply: leave, within: 10 s }
`;

function read(instrument: string): Rig {
  const found = readRig(rigWith(instrument), 'x.rig.yaml', driverSettings);
  if ('rig' in found) return found.rig;
  throw new Error(renderIssues(found.issues, { colour: false }));
}

function told(text: string): readonly string[] {
  const found = readRig(text, 'x.rig.yaml', driverSettings);
  if ('rig' in found) return [];
  return found.issues.map(
    ({ line, column, path, message }) => `${line}:${column} ${path}: ${message}`,
  );
}

const command = 'command: [python3, head.py]';

describe('the settings of a driver, when the rig file is read', () => {
  it.each([
    [
      'scpi',
      'driver: scpi, profile: a.yaml, address: "192.0.2.7:5025"',
      [
        '5:49 instruments.it.address: expected tcp://host:port or the path of a serial port, as in tcp://192.0.2.7:5025 or /dev/ttyUSB0, found the text "192.0.2.7:5025"',
      ],
    ],
    [
      'console',
      'driver: console, adress: /dev/ttyUSB0, baud: fast',
      [
        '5:7 instruments.it.address: expected tcp://host:port or the path of a serial port, as in tcp://192.0.2.7:5025 or /dev/ttyUSB0, but "address" is missing; add it',
        '5:26 instruments.it.adress: unknown key "adress"; did you mean "address"?',
        '5:54 instruments.it.baud: expected a number, found the text "fast"',
      ],
    ],
    [
      'dali',
      'driver: dali, address: /dev/ttyUSB0, lines: { anser: "A {byte}" }',
      ['5:55 instruments.it.lines.anser: unknown key "anser"; did you mean "answer"?'],
    ],
    [
      'dmx',
      'driver: dmx, address: "tcp://192.0.2.7:5", break: short',
      [
        '5:31 instruments.it.address: expected the path of a serial port (RS-485 adapter), found the text "tcp://192.0.2.7:5"',
        '5:59 instruments.it.break: expected one of line, baud-rate, found the text "short"',
      ],
    ],
    [
      'sacn',
      'driver: sacn, to: "a b", priority: 300',
      [
        '5:27 instruments.it.to: expected multicast, host or host:port, found the text "a b"',
        '5:44 instruments.it.priority: expected at most 200, found the number 300',
      ],
    ],
    [
      'webpage',
      'driver: webpage, url: lamp, set: [{ press: a }], off: []',
      [
        '5:31 instruments.it.url: expected the address of the page, as in http://192.0.2.9/, found the text "lamp"',
        '5:43 instruments.it.set[0]: expected one of: fill + with, click, choose + value, wait (+ text), found a mapping',
        '5:63 instruments.it.off: expected at least 1 entry, found none',
      ],
    ],
    [
      'camera',
      `driver: camera, ${command}, line-time: 15`,
      [
        '5:65 instruments.it.line-time: expected a time such as 20 ms, found 15 without a unit; write 15 ms',
      ],
    ],
    [
      'program',
      'driver: program, kind: oscilloscope, command: head',
      [
        '5:32 instruments.it.kind: expected one of supply, switch, chamber, thermometer, colour-sensor, spectrometer, digitiser, found the text "oscilloscope"',
        '5:55 instruments.it.command: expected a list: the program, then its arguments, found the text "head"',
      ],
    ],
    [
      'recording',
      'driver: recording, files: { a: { rate: 3 V } }',
      [
        '5:40 instruments.it.files.a.file: expected text, but "file" is missing; add it',
        '5:48 instruments.it.files.a.rate: expected a frequency such as 10 kHz, but V is a unit of voltage',
      ],
    ],
    [
      'plant',
      'driver: plant, kind: camera, rows: 10.5, row-nose: 1 %',
      [
        '5:44 instruments.it.rows: expected a whole number, found the number 10.5',
        '5:50 instruments.it.row-nose: unknown key "row-nose"; did you mean "row-noise"?',
      ],
    ],
    [
      'plant of no kind',
      'driver: plant, kind: oscilloscope',
      [
        '5:30 instruments.it.kind: expected one of digitiser, colour-sensor, spectrometer, camera, supply, switch, chamber, thermometer, lamp-link, found the text "oscilloscope"',
      ],
    ],
  ])('that are wrong are told with line and column: %s', (_, instrument, issues) => {
    expect(told(rigWith(instrument))).toEqual(issues);
  });

  it('are told although something else of the instrument is wrong, and of every instrument', () => {
    const text = rigWith('driver: console, address: here, retries: 99').replace(
      'wiring: []',
      '  other: { driver: sacn, to: "a b" }\nwiring: []',
    );
    expect(told(text).map((issue) => issue.split(': ')[0])).toEqual([
      '5:35 instruments.it.address',
      '5:50 instruments.it.retries',
      '6:30 instruments.other.to',
    ]);
  });

  it('are what the driver gets: parsed, in SI, with what is usual where nothing is said', () => {
    const [camera] = read(`driver: camera, ${command}, line-time: 15 µs`).instruments;
    expect(camera?.settings).toEqual({
      command: ['python3', 'head.py'],
      'line-time': 15e-6,
      transfer: 'srgb',
      dark: 0,
    });
    const [plant] = read('driver: plant, kind: camera, row-noise: 0.1 %').instruments;
    expect(plant?.settings).toEqual({
      kind: 'camera',
      rows: 1080,
      'line-time': 15e-6,
      'row-noise': 0.001,
    });
  });

  it('stay as they are written for a driver of the user’s, without what all instruments have', () => {
    const [own] = read(
      'driver: ./my-head.mjs, deadline: 2 s, highest-rate: 2 MS/s, one-record: true, gain: 3 dB',
    ).instruments;
    expect(own).toMatchObject({
      deadline: 2,
      limits: { highestRate: 2e6, oneRecord: true },
      settings: { gain: '3 dB' },
    });
  });

  it('never take a key that every instrument has', () => {
    const common = Object.keys(instrumentSchema.shape);
    for (const [driver, schema] of driverSettings)
      for (const key of knownKeys(schema, [])) expect(common, driver).not.toContain(key);
  });
});
