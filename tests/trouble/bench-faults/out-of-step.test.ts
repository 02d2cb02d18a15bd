import { describe, expect, it } from 'vitest';
import { conformance } from '../../../drivers/conformance/conformance.ts';
import { lamp } from '../../drivers/conformance/shipped-bench.ts';
import {
  openInstrument,
  openTestEmulation,
  rigFor,
} from '../../drivers/emulate/open-test-bench.ts';
import { runClaims, storyOf, verdictsOf } from './run-claims.ts';

const patience = { timeout: 90_000 };

const atOnce = `spec: at-once
claim: A level that is set is there at once.
stimulus:
  - set: { level: 100 %, mix: all, link: console }
  - hold: 300 ms
  - mark: down
  - set: { level: 20 % }
  - hold: 500 ms
capture:
  - { signal: light, of: light, rate: 10 kHz }
criteria:
  - { metric: dropouts, of: light, during: down, at-most: 0 }
`;

const asking = `spec: gear-answers
claim: The gear says what level it has.
stimulus:
  - set: { level: 100 %, mix: all, link: dali }
  - hold: 300 ms
  - send: { dali: query-actual-level, expect: 254 }
  - hold: 200 ms
capture: []
criteria: []
`;

describe.concurrent('answers that are those of the question before', () => {
  // Opening the bench, and the lamp's first words, are sound.
  it('of a console: an error of the bench', patience, async () => {
    const found = await runClaims(atOnce, ['behind,on=console,from=2']);
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]?.reason).toMatch(/^console: .*answers are out of step/);
  });

  it('of a DALI bridge: an error of the bench', patience, async () => {
    const found = await runClaims(asking, ['behind,on=dali,from=8']);
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]?.reason).toMatch(/^dali: /);
  });

  it('of a supply: an error of the bench', patience, async () => {
    const found = await runClaims(atOnce, ['behind,on=supply,from=12']);
    expect(verdictsOf(found), storyOf(found)).toEqual(['error']);
    expect(found[0]?.reason).toMatch(/^supply: /);
  });

  it.each(['console', 'dali', 'supply', 'colour-sensor', 'digitiser'])(
    'break a promise of %s in rig test',
    patience,
    async (name) => {
      const emulation = await openTestEmulation();
      try {
        await emulation.live.setSource(48);
        await emulation.live.setPower(true);
        const rig = rigFor(emulation);
        const open = () => openInstrument(rig, name);
        const first = await open();
        await first.close();
        emulation.troubles.set([{ kind: 'behind', on: name, from: 1, once: false, seconds: 0 }]);
        const broken: string[] = [];
        for await (const one of conformance(first.kind, {
          lamp,
          open,
          deadline: 2,
          highestVolts: 60,
        }))
          if (one.outcome === 'broken') broken.push(one.guarantee);
        expect(broken).not.toEqual([]);
      } finally {
        await emulation.close();
      }
    },
  );
});

describe.concurrent('a DALI bus that loses one frame in twenty', () => {
  it.each(['lost-frames', 'garbled-frames'])(
    '%s: no second gear is seen',
    patience,
    async (kind) => {
      const emulation = await openTestEmulation();
      try {
        await emulation.live.setSource(48);
        await emulation.live.setPower(true);
        const link = await openInstrument(rigFor(emulation), 'dali');
        if (link.kind !== 'lamp-link') throw new Error('a link expected');
        const call = () => ({ deadline: 20, signal: new AbortController().signal });
        await emulation.live.clock.waitUntil(emulation.live.clock.now() + 1, call().signal);
        const sound = await link.whoIsLamp?.(call());
        emulation.troubles.set([
          { kind: kind as 'lost-frames', on: 'dali', from: 1, once: false, seconds: 0 },
        ]);
        for (let round = 0; round < 6; round++)
          expect(await link.whoIsLamp?.(call())).toEqual(sound);
        await link.close();
      } finally {
        await emulation.close();
      }
    },
  );
});
