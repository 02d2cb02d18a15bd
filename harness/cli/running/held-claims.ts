import { plainLine } from '../../files/plain-text.ts';
import type { Quarantine } from '../../record/quarantine.ts';
import { readQuarantine } from '../../workflow/inputs/read-quarantine.ts';
import { wallClock } from '../../workflow/wall-clock.ts';
import type { Io } from '../common/io.ts';

/** The claims in quarantine today; says on stderr which quarantines have ended. */
export function heldClaims(
  file: string | undefined,
  io: Io,
): ReadonlyMap<string, Quarantine> | undefined {
  if (file === undefined) return undefined;
  const { held, ended } = readQuarantine(file, io.cwd, wallClock.now().slice(0, 10));
  for (const { claim, until, owner } of ended)
    io.stderr(
      `${plainLine(`The quarantine of ${claim} ended with ${until} (${owner}): it counts again`)}\n`,
    );
  return held;
}
