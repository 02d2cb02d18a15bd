import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll } from 'vitest';
import { RealClock } from '../../../drivers/real-clock.ts';
import { recordingDriver } from '../../../drivers/recording/recording-driver.ts';
import { encodeNpy } from '../../../harness/files/npy.ts';
import { instrumentOf } from '../instrument-of.ts';
import { describeConformance } from './describe-conformance.ts';
import { emulatedRig, lamp } from './shipped-bench.ts';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'evenfall-conformance-'));
  const ramp = Int16Array.from({ length: 2000 }, (_, k) => k);
  await writeFile(join(folder, 'a.npy'), encodeNpy(ramp));
  await writeFile(join(folder, 'b.npy'), encodeNpy(ramp.map((code) => -code)));
});
afterAll(() => rm(folder, { recursive: true }));

describeConformance(
  'a recording',
  'digitiser',
  () => ({
    lamp,
    deadline: 5,
    record: { rate: 10e3, duration: 0.1 },
    open: async () => {
      const files = {
        a: { file: 'a.npy', rate: '10 kS/s' },
        b: { file: 'b.npy', rate: '10 kS/s' },
      };
      const instrument = instrumentOf(recordingDriver, { files });
      return recordingDriver.open(instrument, {
        rig: emulatedRig,
        lamp,
        clock: new RealClock(),
        folder,
      });
    },
  }),
  ['A record is handed over no sooner than it can have lasted'],
);
