import { tmpdir } from 'node:os';
import { resolve } from 'node:path';
import type { BenchWait } from '../../workflow/lanes/wait-for-bench.ts';
import { holderText } from '../../workflow/rig/lock-file.ts';
import type { RigEvent, RigUse } from '../../workflow/rig/rig-event.ts';
import type { Io } from '../common/io.ts';

/** A command that uses a rig: what happens to it goes to stderr. */
export function rigUse({ cwd, env, interrupted, stderr }: Io, locks?: string): RigUse {
  return {
    cwd,
    locks: lockFolder({ cwd, env }, locks),
    signal: interrupted,
    onRigEvent: (event) => stderr(`${eventText(event)}\n`),
  };
}

/** `--locks` or `EVENFALL_LOCKS` names a folder that several machines share, where several can reach the same instruments. */
function lockFolder({ cwd, env }: Pick<Io, 'cwd' | 'env'>, locks?: string): string {
  const wanted = locks ?? env['EVENFALL_LOCKS'];
  return wanted ? resolve(cwd, wanted) : tmpdir();
}

function eventText(event: RigEvent): string {
  switch (event.event) {
    case 'powering-on':
      return event.chamber ? `${cautions}\n${chamberCautions}` : cautions;
    case 'lock-taken-over':
      return `Took over the lock of rig ${event.rig}: ${holderText(event.from)} no longer runs`;
    case 'not-provable':
      return `not run: ${event.spec}: ${event.why}`;
    case 'preparing':
      return `Preparing the lamp: ${event.step}`;
    case 'prepared':
      return `${event.step}: done after ${event.text}`;
    case 'warming-up':
      return `Warming up the instruments for ${Math.round(event.seconds)} s`;
    case 'checked-before':
      return `${event.check}: ${event.good ? '' : 'NOT GOOD: '}${event.text}`;
    case 'checking-after':
      return 'Checking the bench again after the last claim: the light comes on at full or the given level. Do not look into it.';
    case 'checked-after':
      return `${event.check}: ${afterMark[event.result]}${event.text}`;
    case 'bench-wait':
      return waitText(event);
    case 'not-sent':
      return `Not at the lab yet: ${event.why}`;
    case 'made-safe':
      return `Safe state ${event.confirmed ? 'confirmed' : 'NOT confirmed'} (${event.detail})`;
  }
}

const afterMark = { good: '', noted: 'noted: ', broken: 'NOT GOOD: ' } as const;

function waitText(wait: BenchWait): string {
  if (wait.wait === 'over') return `All instruments are back after ${wait.waited.toFixed(0)} s`;
  const { instrument, why, waited, patience } = wait;
  return `Waiting for ${instrument}, ${waited.toFixed(0)} of ${patience.toFixed(0)} s (${why})`;
}

const cautions = `Before the rig is switched on:
  - Flashing light at 3 Hz to 70 Hz can provoke seizures; warn everyone in the room, or close the box.
  - Do not look into a bare LED array; blue light is the main hazard to the eye (IEC 62471).
  - Drivers may be at mains potential: treat everything as live unless it is proved to be SELV.
  - Lamps get hot. Local codes and licensed practice come first; see Safety in README.md.`;

const chamberCautions = `Before a chamber is heated or cooled:
  - What stands in it must be rated for the temperatures of the specs; it needs an over-temperature limiter of its own.
  - Hot metal burns. A lamp from the cold is wetted by the air of the room: let it warm up behind the closed door before
    you open, and never switch a wet one on.`;
