import { BenchError } from '../../bench/errors.ts';
import type { RawMessage } from '../../bench/ports.ts';
import { expectedLines, matches } from '../../plan/expectation.ts';
import { callOn, linkOf, type StimulusContext } from './stimulus.ts';

/** QUERY CONTROL GEAR PRESENT to all: whatever its address is by now, gear answers (IEC 62386-102). */
const anybody: RawMessage = { link: 'dali', frame: [0xff, 0x91], answer: true };

/**
 * A bridge that is one line behind hands over the confirmation of the command before: nobody knows when, or whether, the lamp
 * took a command. Asks the lamp on each console that a condition used who it is, when the stimulus is over: what it said
 * to a command is no answer to that. Rejects with `garbled` where the answer is another one's. Nothing on a virtual clock.
 */
export async function mustBeInStep(context: StimulusContext): Promise<void> {
  if (context.bench.clock.kind === 'virtual' || maybeDeaf(context)) return;
  const { commands, rig } = context;
  for (const name of new Set(commands.map(({ link }) => link))) {
    if (name !== 'console' || !(name in rig.links)) continue;
    const link = linkOf(context, name);
    const who = await link.whoIsLamp?.(callOn(context, link.name));
    if (who) mustKeepCase(link.name, who.raw, context);
  }
}

/**
 * An answer that differs from the expected one by capital letters alone, on a line that has not been seen to carry small ones, may have been
 * changed on its way.
 */
function mustKeepCase(name: string, who: string, { answers }: StimulusContext): void {
  if (/[a-z]/.test(who)) return;
  for (const { link, sent, expected, reply } of answers) {
    if (link !== 'console' || !reply || !('text' in reply) || matches(expected, reply)) continue;
    const found = reply.text.trim();
    const wanted = expectedLines(expected).find((own) => own.toLowerCase() === found.toLowerCase());
    if (wanted === undefined) continue;
    throw new BenchError(
      'garbled',
      name,
      `"${found}" answered "${sent}", where "${wanted}" was expected: the same but for capitals, and the lamp's identity came in capitals as well ("${who}"). Either the line changes letters, as a terminal server may, or the lamp speaks so; look at the line, and at what the spec expects`,
    );
  }
}

/** A link that is proved thoroughly is given so long at least, s. */
const thoroughly = 15;

/**
 * An answer that the claim expects is the lamp's only where its link hands over what the lamp said: asks each link that can tell, when
 * the stimulus is over. Rejects with `garbled`. Nothing on a virtual clock.
 */
export async function mustCarry(context: StimulusContext): Promise<void> {
  const { answers, bench, rig } = context;
  if (bench.clock.kind === 'virtual') return;
  for (const name of new Set(answers.map(({ link }) => link))) {
    if (!(name in rig.links)) continue;
    const link = linkOf(context, name);
    const wrong = answers.some((one) => one.link === name && !matches(one.expected, one.reply));
    const own = callOn(context, link.name);
    const call = wrong ? { ...own, deadline: Math.max(own.deadline, thoroughly) } : own;
    await link.mustCarry?.({ thorough: wrong }, call);
  }
}

/** Without its bus, its power or a firmware that runs a lamp need not hear. */
export function maybeDeaf({ commands }: Pick<StimulusContext, 'commands'>): boolean {
  return commands.some(({ verb }) => verb === 'carry' || verb === 'supply' || verb === 'reset');
}

/**
 * DALI confirms no command, and silence is an answer: a bus that is cut looks like a lamp that does not obey. Asks once, when
 * the stimulus is over, whether gear hears at all where a condition used it; rejects with `timeout` where none does. On a
 * virtual clock nothing is ever cut.
 */
export async function mustAnswer(context: StimulusContext): Promise<void> {
  if (context.bench.clock.kind === 'virtual') return;
  if (maybeDeaf(context)) return;
  const { commands, rig } = context;
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
