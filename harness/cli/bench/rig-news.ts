import { describe, RigLock } from '../../workflow/rig/rig-lock.ts';
import type { RigNews, RigUse } from '../../workflow/rig/take-rig.ts';
import type { Io } from '../common/io.ts';

/** A command as the user of a rig: what happens meanwhile goes to stderr. */
export function rigUse({ cwd, env, interrupted, stderr }: Io): RigUse {
  return { cwd, env, interrupted, tell: (news) => stderr(`${inWords(news)}\n`) };
}

/** The lock of a rig for a command that does not run specs. */
export function takeLock(rig: string, io: Io): Promise<RigLock> {
  const { tell, env } = rigUse(io);
  return RigLock.acquire(rig, env, (left) => tell({ news: 'lock taken over', rig, left }));
}

function inWords(news: RigNews): string {
  switch (news.news) {
    case 'cautions':
      return cautions;
    case 'lock taken over':
      return `The lock of rig ${news.rig} was left by ${describe(news.left)}, which is gone; taken over`;
    case 'not provable':
      return `not run: ${news.spec}: ${news.why}`;
    case 'warm-up':
      return `Instruments warm up for ${Math.round(news.seconds)} s`;
  }
}

const cautions = `Before the rig is switched on:
  - Flashing light at 3 Hz to 70 Hz can provoke seizures; warn everyone in the room, or close the box.
  - Do not look into a bare LED array; blue light harms the eye most (IEC 62471).
  - Drivers may be at mains potential: treat everything as live unless it is proved to be SELV.
  - Lamps get hot. Local codes and licensed practice come first; see Safety in README.md.`;
