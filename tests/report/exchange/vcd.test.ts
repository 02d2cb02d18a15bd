import { expect, test } from 'vitest';
import { captureChannels } from '../../../harness/report/exchange/vcd/capture-channels.ts';
import { conditionChannels } from '../../../harness/report/exchange/vcd/condition-channels.ts';
import { renderVcd } from '../../../harness/report/exchange/vcd/render-vcd.ts';
import { channelName, type VcdChannel } from '../../../harness/report/exchange/vcd/vcd-channel.ts';
import { sampleCondition } from '../../record/sample-record.ts';
import { readVcd, textOf } from './vcd-reader.ts';

function dump(channels: readonly VcdChannel[], from = 0, to = 1) {
  return readVcd(renderVcd({ comment: ['a $end of it'], scope: 'condition', channels, from, to }));
}

const real = {
  name: 'light_lx',
  kind: 'real',
  at: [0, 0.25, 0.5],
  values: [1, 1, -2.5e-7],
} as const;

test('numbers stand at their instants in nanoseconds, and only where they change', () => {
  const { unit, scope, variables, end } = dump([real]);
  expect(unit).toBe(1e-9);
  expect(scope).toBe('condition');
  expect(end).toBe(1e9);
  expect(variables.get('light_lx')).toEqual({
    type: 'real',
    size: 64,
    changes: [
      { time: 0, value: '1' },
      { time: 0.5e9, value: '-2.5e-7' },
    ],
  });
});

test('the time begins where it is asked to, with what holds there, and ends there', () => {
  const { variables, end } = dump([real], 0.4, 0.5);
  expect(end).toBe(1e8);
  expect(variables.get('light_lx')?.changes).toEqual([
    { time: 0, value: '1' },
    { time: 1e8, value: '-2.5e-7' },
  ]);
  expect(dump([real], 0.1, 0.2).variables.get('light_lx')?.changes).toHaveLength(1);
  expect(dump([real], -1, 0.1).variables.get('light_lx')?.changes[0]?.time).toBe(1e9);
});

test('texts are bytes in a vector of their width, those of one instant a nanosecond apart', () => {
  const text = { name: 'log', kind: 'text', at: [0.1, 0.1, 0.2], values: ['a', 'µm', ''] } as const;
  const log = dump([text]).variables.get('log');
  expect(log).toMatchObject({ type: 'reg', size: 24 });
  expect(log?.changes.map(({ time }) => time)).toEqual([0, 1e8, 1e8 + 1, 2e8]);
  expect(log?.changes.slice(1, 3).map(({ value }) => textOf(value))).toEqual(['a', 'µm']);
  expect(log?.changes.map(({ value }) => value).filter((value) => /^[x0]$/.test(value))).toEqual([
    'x',
    '0',
  ]);
});

test('a long text is cut between characters', () => {
  const long = `${'a'.repeat(95)}é and more`;
  const text = { name: 'log', kind: 'text', at: [0.1], values: [long] } as const;
  const log = dump([text]).variables.get('log');
  expect(log?.size).toBe(8 * 95);
  expect(textOf(log?.changes[1]?.value ?? '')).toBe('a'.repeat(95));
});

test('a hundred channels have names of their own in the file', () => {
  const many = Array.from({ length: 100 }, (_, k) => ({ ...real, name: `c${k}` }));
  expect(dump(many).variables.size).toBe(100);
});

test('names hold nothing that a viewer could take for something else', () => {
  expect(channelName('probe-fade position', '%')).toBe('probe_fade_position_percent');
  expect(channelName('board', '°C')).toBe('board_degC');
});

const capture = { id: 'light', signal: 'light', unit: 'lx', rate: 1000, start: 0.1 } as const;
const samples = Float64Array.from({ length: 500 }, (_, k) => Math.sin(k) * (k === 250 ? 50 : 1));

test('every sample of a capture stands at its own instant', () => {
  const channels = captureChannels({ capture, samples }, { from: 0, to: 1 }, 1e6);
  const { variables } = dump(channels);
  const { changes = [] } = variables.get('light_lx') ?? {};
  expect(changes).toHaveLength(500);
  for (const [k, { time, value }] of changes.entries()) {
    expect(Math.abs(time * 1e-9 - (0.1 + k / 1000))).toBeLessThan(0.6e-9);
    expect(Number(value)).toBeCloseTo(samples[k] ?? Number.NaN, 7);
  }
  expect(variables.get('light_recorded')?.changes).toEqual([
    { time: 0, value: '0' },
    { time: 1e8, value: '1' },
    { time: 6e8, value: '0' },
  ]);
});

test('of too many samples the extremes stay, at their instants', () => {
  const channels = captureChannels({ capture, samples }, { from: 0.1, to: 0.6 }, 50);
  expect(channels.map(({ name }) => name)).toEqual(['light_lx']);
  const { changes = [] } = dump(channels, 0.1, 0.6).variables.get('light_lx') ?? {};
  expect(changes.length).toBeLessThanOrEqual(50);
  const peak = changes.find(({ value }) => Math.abs(Number(value)) > 5);
  expect(peak?.time).toBe(250e6);
});

test('a pin is a line that is high or low, with every change', () => {
  const pin = { ...capture, id: 'busy', signal: 'busy', unit: 'V', start: 0 };
  const volts = Float64Array.from({ length: 1000 }, (_, k) => (k % 100 < 10 ? 3.3 : 0));
  const channels = captureChannels({ capture: pin, samples: volts }, { from: 0, to: 1 }, 10);
  const { changes = [] } = dump(channels).variables.get('busy') ?? {};
  expect(changes.slice(0, 3)).toEqual([
    { time: 0, value: '1' },
    { time: 10e6, value: '0' },
    { time: 100e6, value: '1' },
  ]);
  expect(changes).toHaveLength(20);
});

test('commands, answers, windows, the link, the firmware and readings are in it', () => {
  const condition = sampleCondition({
    marks: [{ name: 'fading', at: 0.5 }],
    commanded: [{ channel: 'warm', segments: [[0, 0.5, 0, 1]] }],
    readings: [
      {
        ...{ capture: 'colour', at: 0.5, integration: 0.1, X: 1, Y: 2, Z: 1, of: 'lamp' },
        state: 'good',
      },
    ],
    heard: [
      {
        ...{ solo: null, standardInstant: 0, isFresh: true },
        heard: [{ kind: 'dali', at: 0.1, frame: 'fe80' }],
        answered: [{ kind: 'dali', at: 0.1, byte: 255 }],
      },
    ],
    probes: [{ solo: 'warm', name: 'level', unit: '%', at: [0.2], values: [12.5] }],
    firmwareLog: [{ solo: null, lines: [{ at: 0.3, text: 'fade starts' }] }],
  });
  const { variables } = dump(conditionChannels(condition), -0.5);
  const last = (name: string) => variables.get(name)?.changes.at(-1);
  const text = (name: string) => textOf(last(name)?.value ?? '');
  expect(text('window')).toBe('fading');
  expect(text('command')).toBe('console: fade 2000 dim 100');
  expect(text('answer')).toBe('console: ok');
  expect(text('link_dali')).toBe('fe80');
  expect(text('link_answer')).toBe('ff');
  expect(text('firmware_log')).toBe('fade starts');
  expect(last('firmware_log')?.time).toBe(0.8e9);
  expect(last('target_warm')).toEqual({ time: 0.5e9, value: '1' });
  expect(last('probe_level_percent_warm_alone')).toEqual({ time: 0.7e9, value: '12.5' });
  expect(last('colour_x')?.value).toBe('0.25');
});
