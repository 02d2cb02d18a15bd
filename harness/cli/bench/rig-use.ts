import { tmpdir } from 'node:os';
import type { RigEvent, RigUse } from '../../workflow/rig/rig-event.ts';
import { holderText } from '../../workflow/rig/rig-lock.ts';
import type { Io } from '../common/io.ts';

/** A command that uses a rig: what happens to it goes to stderr. */
export function rigUse({ cwd, env, interrupted, stderr }: Io): RigUse {
  return {
    cwd,
    locks: lockFolder(env),
    signal: interrupted,
    onRigEvent: (event) => stderr(`${eventText(event)}\n`),
  };
}

/** `EVENFALL_LOCKS` names a folder that several machines share, where several can reach the same instruments. */
export function lockFolder(env: Io['env']): string {
  return env['EVENFALL_LOCKS'] ?? tmpdir();
}

function eventText(event: RigEvent): string {
  switch (event.event) {
    case 'powering-on':
      return cautions;
    case 'lock-taken-over':
      return `Took over the lock of rig ${event.rig}: ${holderText(event.from)} no longer runs`;
    case 'not-provable':
      return `not run: ${event.spec}: ${event.why}`;
    case 'warming-up':
      return `Warming up the instruments for ${Math.round(event.seconds)} s`;
    case 'made-safe':
      return `Safe state ${event.confirmed ? 'confirmed' : 'NOT confirmed'} (${event.detail})`;
  }
}

const cautions = `Before the rig is switched on:
  - Flashing light at 3 Hz to 70 Hz can provoke seizures; warn everyone in the room, or close the box.
  - Do not look into a bare LED array; blue light is the main hazard to the eye (IEC 62471).
  - Drivers may be at mains potential: treat everything as live unless it is proved to be SELV.
  - Lamps get hot. Local codes and licensed practice come first; see Safety in README.md.`;
