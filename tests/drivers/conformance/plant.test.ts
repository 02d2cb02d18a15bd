import type { Candidate } from '../../../drivers/conformance/conformance.ts';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { describeConformance } from './describe-conformance.ts';
import { lamp, simulatedRig as rig } from './shipped-bench.ts';

/** An instrument of a simulated bench of its own, whose lamp has power; closing it closes the bench. */
function candidate(name: string): Candidate {
  const open = async () => {
    const bench = await openPlantBench({
      lamp,
      rig,
      seed: 1,
      lampSeed: 1,
      faults: [],
    });
    const call = { signal: new AbortController().signal, deadline: 5 };
    const supply = bench.instruments.get('supply');
    if (supply?.kind === 'supply' && name !== 'supply') {
      await supply.set({ volts: 48 }, call);
      await supply.output(true, call);
      await bench.clock.waitUntil(0.5, call.signal);
    }
    return bench.instruments.get(name)!;
  };
  return { lamp, open, deadline: 5, highestVolts: 264, highestCelsius: 70, virtual: true };
}

describeConformance('the simulated digitiser', 'digitiser', () => candidate('digitiser'), [
  'A record is handed over no sooner than it can have lasted',
]);
// Its lamp is dark.
describeConformance(
  'the simulated colour sensor',
  'colour-sensor',
  () => candidate('colour-sensor'),
  ['A second reading, with another integration time, is a new one'],
);
describeConformance('the simulated supply', 'supply', () => candidate('supply'));
describeConformance('the simulated chamber', 'chamber', () => candidate('chamber'));
describeConformance('the simulated camera', 'camera', () => candidate('camera'));
describeConformance('the simulated console', 'lamp-link', () => candidate('console'));
describeConformance('the simulated DALI link', 'lamp-link', () => candidate('dali'));
describeConformance('the simulated DMX link', 'lamp-link', () => candidate('dmx'));
describeConformance('the simulated sACN link', 'lamp-link', () => candidate('sacn'));
