import { describe, expect, test } from 'vitest';
import type { Io } from '../../harness/cli/common/io.ts';
import { terminalView } from '../../harness/cli/running/terminal-view.ts';
import type { RunEvent } from '../../harness/run/engine/events.ts';
import { hostileRecord, sampleRecord, shortRecord } from '../report/sample-record.ts';

type Record = ReturnType<typeof sampleRecord>;

test('in CI: an opening line, then one line a claim, nothing written over', () => {
  const record = shortRecord();
  const said = run(record, { terminal: false });
  expect(said).toBe(
    [
      'Alcove-6, build 2.4.0-rc3, on simulated bench: 5 claims (1 more not applicable), 4 conditions, 14.2 s of lamp time',
      '[1/5] ▲ fail  fading/crossfade-arrives-together: arrival spread of lamp, fade time 8 s: 41.2 ± 2.9 ms, allowed at most 20 ms',
      '[2/5] ● pass  fading/no-overshoot: fade overshoot of light: 0.310 ± 0.040 %, allowed at most 1 %; 69 % of the tolerance left',
      "[3/5] ◐ inconclusive  colour/dimming-keeps-the-colour: u'v' shift of light, level 1 %: 0.00104 ± 0.00022, allowed at most 0.0011",
      '[4/5] ✕ error  colour/named-whites-hit-their-point: Expected a reading from the colour sensor within 2 s, found none in 2 attempts; look at its cable and its supply.',
      '[5/5] ○ not run  control/lost-signal-is-held: The rig carries no DMX link.',
      '',
    ].join('\n'),
  );
});

describe('on a terminal', () => {
  test('one status line is written over, and wiped at the end', () => {
    const said = run(sampleRecord(), { terminal: true });
    expect(said.endsWith('\r\u001b[2K')).toBe(true);
    const lasting = said.split('\n').map((line) => line.slice(line.lastIndexOf('\u001b[2K') + 4));
    expect(lasting.filter((line) => line.includes('conditions,')).length).toBe(1); // the opening line alone
  });

  test('claims that hold leave no line, those that do not stay in view', () => {
    const said = run(sampleRecord(), { terminal: true });
    expect(said).not.toContain('● pass');
    expect(said).toContain('▲ fail  fading/crossfade-arrives-together');
  });

  test('the time left follows the share of the expected cost that is done', () => {
    const record = sampleRecord();
    let clock = 0;
    const { io, said } = listening({ terminal: true });
    const view = terminalView(io, () => clock);
    const conditions = record.specs.flatMap((one) =>
      one.conditions.map((point) => ({ spec: one.spec, point })),
    );
    const lampTime = conditions.reduce((sum, { point }) => sum + point.duration, 0);
    const expected = conditions.map(({ spec, point }) => ({
      ...{ spec, key: point.key, cost: point.duration },
    }));
    view({ event: 'run-started', record, conditions: conditions.length, lampTime, expected });
    let done = 0;
    for (const { spec, point } of conditions) {
      view({ event: 'condition-started', spec, key: point.key, lane: 0 });
      done += point.duration;
      clock = (done / lampTime) * 60; // the whole takes a minute
      view({ event: 'condition-ended', spec, condition: point, captures: new Map() });
      const left = /about (\d+) s left/.exec(said().slice(said().lastIndexOf('\r')))?.[1];
      if (done / lampTime > 0.1)
        expect(Math.abs(Number(left) - (60 - clock))).toBeLessThanOrEqual(1 + 0.2 * (60 - clock));
    }
    view({ event: 'run-ended', record });
  });

  test('no status line is longer than the terminal is wide', () => {
    const said = run(sampleRecord(), { terminal: true, columns: 40 });
    for (const part of said.split('\r\u001b[2K').filter((text) => !text.includes('\n')))
      expect([...part].length).toBeLessThan(40);
  });
});

test('bench trouble is told with what is done about it', () => {
  const { io, said } = listening({ terminal: false });
  const view = terminalView(io);
  view({
    event: 'bench-trouble',
    spec: 'a',
    key: 'level=1 %',
    text: 'no answer in 2 s',
    retry: true,
  });
  view({ event: 'safe-state', confirmed: false, detail: 'the supply did not answer' });
  expect(said()).toBe(
    'bench trouble in a, level 1 %: no answer in 2 s (trying again)\nthe safe state is NOT confirmed: the supply did not answer\n',
  );
});

test('colour only where it is wanted, and no control character of a stranger', () => {
  expect(run(sampleRecord(), { terminal: true, colour: true })).toContain('\u001b[31m');
  expect(run(sampleRecord(), { terminal: true, colour: false })).not.toContain('\u001b[31m');
  expect(run(hostileRecord(), { terminal: false })).not.toMatch(
    /[\u0000-\u0009\u000b-\u001f\u202e]/,
  );
});

function run(record: Record, options: Partial<Io>): string {
  const { io, said } = listening(options);
  const view = terminalView(io, () => 0);
  for (const event of eventsOf(record)) view(event);
  return said();
}

function eventsOf(record: Record): RunEvent[] {
  const conditions = record.specs.flatMap((spec) => spec.conditions);
  const lampTime = conditions.reduce((sum, { duration }) => sum + duration, 0);
  return [
    { event: 'run-started', record, conditions: conditions.length, lampTime, expected: [] },
    ...record.specs.flatMap((spec): RunEvent[] => [
      ...spec.conditions.flatMap((condition): RunEvent[] => [
        { event: 'condition-started', spec: spec.spec, key: condition.key, lane: 0 },
        { event: 'condition-ended', spec: spec.spec, condition, captures: new Map() },
      ]),
      { event: 'spec-ended', spec },
    ]),
    { event: 'run-ended', record },
  ];
}

function listening(options: Partial<Io>): { io: Io; said: () => string } {
  let text = '';
  const io: Io = {
    stdout: () => {},
    stderr: (more) => {
      text += more;
    },
    env: {},
    cwd: '/',
    terminal: false,
    colour: false,
    columns: 100,
    interrupted: new AbortController().signal,
    exitCode: 0,
    ...options,
  };
  return { io, said: () => text };
}
