import { dirname } from 'node:path';
import { parseArgs } from 'node:util';
import { readBench } from '../inputs/read-bench.ts';
import { watchRoles } from './rig-watchdog.ts';
import { standGuard } from './stand-guard.ts';

/** A watchdog of a rig, a process of its own: see RigWatchdogs. Ends with 1 where the safe state is not confirmed. */
const { values } = parseArgs({
  options: {
    rig: { type: 'string', default: '' },
    lamp: { type: 'string', default: '' },
    lock: { type: 'string', default: '' },
    token: { type: 'string', default: '' },
    role: { type: 'string', default: '' },
  },
});
const { rig, lamp } = readBench({ rig: values.rig, lamp: values.lamp }, process.cwd());
const { lock, token } = values;
const to = { rig, lamp, folder: dirname(values.rig) };
const role = watchRoles.find((one) => one === values.role) ?? 'first';
const safe = await standGuard({ to, lock, token, role });
// The instruments' ports may keep the process alive, and it has nothing more to do.
process.exit(safe ? 0 : 1);
