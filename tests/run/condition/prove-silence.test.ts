import { expect, it } from 'vitest';
import { BenchError, LampFailure } from '../../../harness/bench/errors.ts';
import type { LampLink } from '../../../harness/bench/ports.ts';
import { proveSilence } from '../../../harness/run/condition/prove-silence.ts';

/** A lamp on a console, and on a DMX512 line that may be deaf while it streams, or always. */
async function proved(
  deaf: 'while streaming' | 'always',
  busy: string | null = null,
): Promise<unknown> {
  const silence = new BenchError('timeout', 'dmx', 'Nobody answered.');
  let streaming = true;
  const dmx = {
    kind: 'lamp-link',
    name: 'dmx',
    link: 'dmx',
    forget: () => {
      streaming = false;
    },
    whoIsLamp: async () => {
      if (deaf === 'always' || streaming) throw silence;
      return null;
    },
  } as unknown as LampLink;
  const terminal = {
    kind: 'lamp-link',
    name: 'console',
    link: 'console',
    whoIsLamp: async () => null,
  } as unknown as LampLink;
  const instruments = new Map([
    ['dmx', dmx],
    ['console', terminal],
  ]);
  const bench = {
    bench: { clock: { kind: 'real', now: () => 0, waitUntil: async () => {} }, instruments },
    rig: { rig: 'r', instruments: [], links: { dmx: 'dmx', console: 'console' } },
    lamp: { supply: { low: 44 }, startUp: 0 },
    signal: new AbortController().signal,
    supplied: { on: true, volts: 48, startedAt: Number.NEGATIVE_INFINITY },
    lateness: { doubt: () => busy },
  } as unknown as Parameters<typeof proveSilence>[1];
  return proveSilence(silence, bench);
}

it('a stream that drowns the lamp’s answers is the bench’s', async () => {
  const error = await proved('while streaming');
  expect(error).toBeInstanceOf(BenchError);
  expect(error).toMatchObject({
    kind: 'timeout',
    message: expect.stringMatching(
      /dmx stayed silent; dmx answered with its own stream stopped: what it sends by itself kept/,
    ),
  });
});

it('a lamp that is silent without the stream, too, and alive elsewhere, has fallen silent', async () => {
  expect(await proved('always')).toBeInstanceOf(LampFailure);
});

it('a silence that a busy computer may have missed the end of is nobody’s', async () => {
  const error = await proved('always', 'this computer itself was up to 2.00 s late meanwhile');
  expect(error).toBeInstanceOf(BenchError);
  expect(error).toMatchObject({ message: expect.stringMatching(/may have come in time/) });
});
