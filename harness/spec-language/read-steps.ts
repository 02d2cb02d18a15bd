import type { ValueReader } from '../plan/value-reader.ts';
import type { WrittenStep } from '../plan/verbs/verb.ts';
import { findVerb, type Step, verbNames } from '../plan/verbs/verbs.ts';

/** The steps of a stimulus for one point of the matrix; steps with issues are left out. */
export function readSteps(
  written: readonly (WrittenStep | null)[],
  reader: ValueReader,
): readonly Step[] {
  return written.flatMap((one, index) => {
    const step = one && readStep(one, reader.at(index));
    return step ? [step] : [];
  });
}

function readStep(written: WrittenStep, reader: ValueReader): Step | null {
  const found = Object.keys(written);
  const [name = ''] = found;
  const verb = found.length === 1 ? findVerb(name) : undefined;
  if (verb) return verb.read(written[name], reader.at(name), readSteps) as Step | null;
  const what = found.length === 0 ? 'none' : found.join(' and ');
  const hint = found.length > 1 ? '; begin a new step with "- "' : '';
  reader.report(`expected one verb in a step (${verbNames.join(', ')}), found ${what}${hint}`);
  return null;
}
