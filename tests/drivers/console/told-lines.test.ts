import { describe, expect, it } from 'vitest';
import { ToldLines } from '../../../drivers/console/told-lines.ts';
import { SentLog } from '../../../drivers/sent-log.ts';
import type { Lines } from '../../../drivers/transport/line-session.ts';

/** A clock that is set, and a console that answers these lines, each after 10 ms; null is no line. */
function consoleOf(...replies: readonly (string | null)[]) {
  let now = 5;
  const clock = {
    kind: 'virtual' as const,
    now: () => now,
    waitUntil: () => Promise.resolve(),
    schedule: () => () => {},
  };
  const left = [...replies];
  const next = (): Promise<string | null> => {
    now += 0.01;
    return Promise.resolve(left.shift() ?? null);
  };
  const lines: Lines = {
    send: () => Promise.resolve(),
    write: () => Promise.resolve(),
    answer: async () => (await next()) ?? '',
    next,
    settle: () => Promise.resolve(),
  };
  const log = new SentLog();
  return { lines: new ToldLines(lines, log, clock), told: () => log.until(9) };
}

describe('lines to a console that are told', () => {
  it('arrived between their leaving and the first line that came back', async () => {
    const { lines, told } = consoleOf('> dim 5', 'ok');
    await lines.send('dim 5');
    await lines.answer();
    await lines.next(1);
    const at = 5.005;
    expect(told()?.heard).toEqual([{ kind: 'console', at, line: 'dim 5' }]);
    // The echo is no answer.
    expect(told()?.answered).toEqual([{ kind: 'console', at, lines: ['ok'] }]);
    expect(told()?.slowest?.get('console')).toBeCloseTo(0.01, 9);
  });

  it('were sent also where nothing came back', async () => {
    const { lines, told } = consoleOf();
    await lines.send('off');
    await lines.next(1);
    lines.end();
    expect(told()?.heard).toEqual([{ kind: 'console', at: 5, line: 'off' }]);
    expect(told()?.answered).toEqual([{ kind: 'console', at: 5, lines: [] }]);
  });

  it('have no known answer where what came back was read away', async () => {
    const { lines, told } = consoleOf();
    await lines.write(Uint8Array.of(0x41, 0xff, 0x0a));
    await lines.settle();
    expect(told()?.heard).toEqual([{ kind: 'console', at: 5, line: 'A\u00ff' }]);
    expect(told()?.answered).toEqual([]);
  });

  it('are bytes where they are no line', async () => {
    const { lines, told } = consoleOf();
    await lines.write(Uint8Array.of(0x0a, 0x41, 0x0a));
    expect(told()?.heard).toEqual([{ kind: 'console-bytes', at: 5, bytes: [0x0a, 0x41, 0x0a] }]);
  });
});
