import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Emulation } from '../../../drivers/plant/emulate/emulation.ts';
import { lamp } from '../conformance/shipped-bench.ts';
import { openInstrument, openTestEmulation, rigFor } from '../emulate/open-test-bench.ts';

let emulation: Emulation;
beforeAll(async () => {
  emulation = await openTestEmulation();
  await emulation.live.setSource(48);
  await emulation.live.setPower(true);
  await new Promise((resolve) => setTimeout(resolve, lamp.startUp * 1000));
});
afterAll(() => emulation.close());

const plain = () => ({ signal: new AbortController().signal, deadline: 20 });

/** A call that is given up after so many ms: while the port is being opened, while the line is quiet, or answered. */
const moments = [0, 1, 2, 3, 5, 8, 20, 40, 60];

describe('a serial port', () => {
  it.each(moments)(
    'is free when close() has resolved, with a call given up after %i ms',
    async (ms) => {
      const rig = rigFor(emulation, { terminal: true });
      const first = await openInstrument(rig, 'console');
      const abort = new AbortController();
      const under = first.identify({ signal: abort.signal, deadline: 20 }).catch(() => {});
      await new Promise((resolve) => setTimeout(resolve, ms));
      abort.abort();
      await under;
      await first.close();
      const next = await openInstrument(rig, 'console');
      try {
        expect((await next.identify(plain())).raw).not.toBe('');
      } finally {
        await next.close();
      }
    },
  );

  it.each(moments)(
    'is open to the next call after one that was given up after %i ms',
    async (ms) => {
      const console = await openInstrument(rigFor(emulation, { terminal: true }), 'console');
      const abort = new AbortController();
      const under = console.identify({ signal: abort.signal, deadline: 20 }).catch(() => {});
      await new Promise((resolve) => setTimeout(resolve, ms));
      abort.abort();
      await under;
      try {
        expect((await console.identify(plain())).raw).not.toBe('');
      } finally {
        await console.close();
      }
    },
  );
});
