import { describe, expect, it } from 'vitest';
import { BenchError } from '../../harness/bench/errors.ts';
import { openInstrument, openTestEmulation, rigFor } from '../drivers/emulate/open-test-bench.ts';

const call = { signal: new AbortController().signal, deadline: 20 };

/** A console on a terminal whose lamp has no power: it never answers. */
async function waiting() {
  const emulation = await openTestEmulation();
  const console = await openInstrument(rigFor(emulation, { terminal: true }), 'console');
  return { emulation, console };
}

describe('an unplugged serial port', () => {
  it('is noticed by a call under way, long before its deadline', async () => {
    const { emulation, console } = await waiting();
    const under = console.identify(call).catch((error: unknown) => error);
    await new Promise((resolve) => setTimeout(resolve, 300));
    const pulled = performance.now();
    emulation.unplug();
    const error = await under;
    expect(error).toBeInstanceOf(BenchError);
    expect((error as BenchError).kind).toBe('closed');
    expect(performance.now() - pulled).toBeLessThan(2000);
    await console.close();
    await emulation.close();
  });

  it('is noticed by the next call where nobody talked meanwhile', async () => {
    const { emulation, console } = await waiting();
    await console.identify({ ...call, deadline: 0.2 }).catch(() => {});
    emulation.unplug();
    const started = performance.now();
    const error = await console.identify(call).catch((error: unknown) => error);
    expect((error as BenchError).kind).toBe('closed');
    expect(performance.now() - started).toBeLessThan(2000);
    await console.close();
    await emulation.close();
  });
});
