import type { PowerSwitch } from '../../harness/bench/ports.ts';
import { type Candidate, expectThat, type Guarantee, plainCall } from './guarantee.ts';
import { resolves } from './settled.ts';

export const switchGuarantees: readonly Guarantee<'switch'>[] = [
  {
    guarantee: 'It reads back as on after it was switched on, and as off after it was switched off',
    kinds: ['switch'],
    check: async (relay, candidate) => {
      try {
        await output(relay, true, candidate);
        expectThat((await read(relay, candidate)).on, 'it was switched on, but reads back as off');
      } finally {
        await output(relay, false, candidate);
      }
      expectThat(!(await read(relay, candidate)).on, 'it was switched off, but reads back as on');
    },
  },
];

function output(relay: PowerSwitch, on: boolean, candidate: Candidate): Promise<void> {
  const what = `output ${on ? 'on' : 'off'}`;
  return resolves(relay.output(on, plainCall(candidate)), candidate.deadline, what);
}

function read(relay: PowerSwitch, candidate: Candidate) {
  return resolves(relay.read(plainCall(candidate)), candidate.deadline, 'read()');
}
