import { dirname } from 'node:path';
import { parseArgs } from 'node:util';
import { readBench } from '../inputs/read-bench.ts';
import { standGuard } from './rig-watchdog.ts';

/** The watchdog of a rig, a process of its own: see RigWatchdog. Ends with 1 where the safe state is not confirmed. */
const { values } = parseArgs({
  options: {
    rig: { type: 'string', default: '' },
    lamp: { type: 'string', default: '' },
    lock: { type: 'string', default: '' },
  },
});
const { rig, lamp } = readBench({ rig: values.rig, lamp: values.lamp }, process.cwd());
const safe = await standGuard({ rig, lamp, folder: dirname(values.rig) }, values.lock);
// The instruments' ports may keep the process alive, and it has nothing more to do.
process.exit(safe ? 0 : 1);
