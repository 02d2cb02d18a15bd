import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { driverSettings } from '../../drivers/registry.ts';
import { readLamp } from '../../harness/bench/lamp-file.ts';
import { readRig } from '../../harness/bench/rig-file.ts';
import type { Issue } from '../../harness/files/issue.ts';
import { renderIssues } from '../../harness/files/render-issues.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { sampleSeed, whole } from '../sampled.ts';
import { shippedLamp } from './shipped-lamp.ts';

const specText = `spec: a
claim: b
conditions: { t: [2 s] }
stimulus:
  - fade: { level: 1 %, mix: { warm: 5 % }, over: $t }
  - mark: m
  - send: { dali: level, value: 1 }
  - hold: 1 s
capture: [{ signal: light, rate: 10 kHz }]
criteria:
  - { metric: modulation, during: m, at-most: 1 % }
`;
const lampText = `lamp: small
maker: Halden
about: tests
channels:
  warm: { light: 620 lm, xy: [0.45, 0.41], current: 700 mA, forward-voltage: 33 V }
curve: { kind: logarithmic, bottom: 0.1 % }
modulation: { kind: pulse-density, bits: 16, clock: 20 MHz }
stage: { kind: linear, rise-time: 8 ns, fall-time: 8 ns }
supply: { kind: dc, nominal: 48 V, low: 44 V, high: 52 V }
links:
  dmx: { first-slot: 1, bits: 16, on-loss: hold }
start-up: 300 ms
`;
const rigText = `rig: bench-1
about: tests
place: here
instruments:
  console: { driver: console, address: /dev/ttyUSB0 }
wiring:
  - { signal: light, instrument: console, input: a, scale: 9 lx/V, standard-scale: 1 %, standard-offset: 1 lx, noise: 1 lx, bandwidth: 2 kHz, bits: 16, full-scale: 5 klx }
links: { console: console }
safe: { lamp: off, supply: leave, within: 10 s }
`;

/** Pieces that mean something to YAML or to us. */
const pieces = [
  ...[
    '"',
    "'",
    '{',
    '}',
    '[',
    ']',
    ',',
    ': ',
    '- ',
    '#',
    '&a ',
    '*a',
    '!x ',
    '|\n',
    '>\n',
    '? ',
    '%',
    '@',
  ],
  ...[
    '\n',
    '\n\n',
    '  ',
    '\t',
    '\r\n',
    '\u0000',
    '\ufeff',
    '\ud800',
    '😀',
    '---\n',
    '...\n',
    '<<: ',
  ],
  ...[
    '$time',
    '$',
    '$$',
    '$nope',
    '.nan',
    '.inf',
    '1e999',
    '-1',
    '0',
    'null',
    '~',
    'true',
    '0x1F',
    '1/0 s',
  ],
  ...[
    '__proto__: ',
    'constructor: ',
    'toString',
    'each-channel',
    'bottom',
    'stage.ripple',
    '± ',
    'µ',
  ],
];

type Mutation = (text: string) => string;
const place = fc.double({ min: 0, max: 1, noNaN: true });
const length = fc.integer({ min: 1, max: 30 });
const mutation: fc.Arbitrary<Mutation> = fc.oneof(
  fc.tuple(place, length).map(([at, n]) => cutOut(at, n)),
  fc.tuple(place, length, place).map(([at, n, to]) => copy(at, n, to)),
  fc.tuple(place, fc.constantFrom(...pieces)).map(([at, piece]) => insert(at, piece)),
  fc
    .tuple(place, fc.string({ unit: 'binary', maxLength: 4 }))
    .map(([at, piece]) => insert(at, piece)),
  fc.tuple(place, place).map(([a, b]) => swapLines(a, b)),
);

const count = whole ? 20_000 : 3_000;

describe('a mutated file', () => {
  const lamp = shippedLamp('alcove-1');
  const readers = {
    spec: (text: string) => readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp }),
    lamp: (text: string) => readLamp(text, 'x'),
    rig: (text: string) => readRig(text, 'x', driverSettings),
  };
  const whole = { spec: specText, lamp: lampText, rig: rigText };

  it('starts from files that are read without issues', () => {
    for (const kind of ['spec', 'lamp', 'rig'] as const)
      expect(readers[kind](whole[kind])).not.toHaveProperty('issues');
  });

  it(`never crashes a reader, and every issue has a place in it (${count} files)`, () => {
    const kind = fc.constantFrom('spec', 'spec', 'lamp', 'rig' as const);
    const mutations = fc.array(mutation, { minLength: 1, maxLength: 4 });
    fc.assert(
      fc.property(kind, mutations, (which, list) => {
        const text = list.reduce((now, mutate) => mutate(now), whole[which as 'spec']);
        const read = readers[which as 'spec'](text);
        if (!('issues' in read)) return;
        expect(read.issues.length).toBeGreaterThan(0);
        for (const issue of read.issues) placed(issue, text);
        renderIssues(read.issues, { colour: false });
      }),
      { numRuns: count, seed: sampleSeed },
    );
    // A dozen seconds for the whole on a quiet machine; patience is not what is tested.
  }, 300_000);
});

function placed({ line, column, message, excerpt, length: marked }: Issue, text: string): void {
  const lines = text.split('\n');
  const sound =
    line >= 1 &&
    line <= lines.length &&
    column >= 1 &&
    column <= (lines[line - 1]?.length ?? 0) + 2 &&
    marked >= 1 &&
    !/undefined|\[object|\n/.test(message) &&
    text.includes(excerpt);
  if (!sound) throw new Error(JSON.stringify({ line, column, message, excerpt, marked }));
}

function cutOut(at: number, n: number): Mutation {
  return (text) => text.slice(0, at * text.length) + text.slice(at * text.length + n);
}

function copy(at: number, n: number, to: number): Mutation {
  return (text) => insert(to, text.slice(at * text.length, at * text.length + n))(text);
}

function insert(at: number, piece: string): Mutation {
  return (text) => text.slice(0, at * text.length) + piece + text.slice(at * text.length);
}

function swapLines(a: number, b: number): Mutation {
  return (text) => {
    const lines = text.split('\n');
    const [from, to] = [Math.floor(a * (lines.length - 1)), Math.floor(b * (lines.length - 1))];
    [lines[from], lines[to]] = [lines[to] ?? '', lines[from] ?? ''];
    return lines.join('\n');
  };
}
