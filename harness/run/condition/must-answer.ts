import { BenchError } from '../../bench/errors.ts';
import type { RawMessage } from '../../bench/ports.ts';
import { callOn, linkOf, type StimulusContext } from './stimulus.ts';

/** QUERY CONTROL GEAR PRESENT to all: whatever its address is by now, gear answers (IEC 62386-102). */
const anybody: RawMessage = { link: 'dali', frame: [0xff, 0x91], answer: true };

/**
 * DALI confirms no command, and silence is an answer: a bus that is cut looks like a lamp that does not obey. Asks once, when
 * the stimulus is over, whether gear hears at all where a condition used it; rejects with `timeout` where none does. On a
 * virtual clock nothing is ever cut.
 */
export async function mustAnswer(context: StimulusContext): Promise<void> {
  if (context.bench.clock.kind === 'virtual') return;
  const { commands, rig } = context;
  // Without its bus, its power or a firmware that runs it need not hear.
  if (commands.some(({ verb }) => verb === 'carry' || verb === 'supply' || verb === 'reset'))
    return;
  for (const name of new Set(commands.map(({ link }) => link))) {
    if (name !== 'dali' || !(name in rig.links)) continue;
    const link = linkOf(context, name);
    const reply = await link.send(anybody, callOn(context, link.name));
    if (reply === null)
      throw new BenchError(
        'timeout',
        link.name,
        `no gear answers on the bus of ${link.name}, although its bridge does; is the lamp connected to the bus, and does the bus have power?`,
      );
  }
}
