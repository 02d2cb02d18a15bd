import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from './io.ts';

/** Whether somebody can be asked: what is typed comes from a terminal, and what is said goes to one. */
export function canAsk(): boolean {
  return Boolean(process.stdin.isTTY && process.stderr.isTTY);
}

/** Asks on the terminal; anything but y or yes is a no. Rejects with a Complaint on Ctrl-C. */
export async function askYes(question: string, io: Io): Promise<boolean> {
  const { stdin } = process;
  io.stderr(`${question} [y/N] `);
  const typed = await new Promise<string | null>((resolve) => {
    const onInterrupt = (): void => resolve(null);
    io.interrupted.addEventListener('abort', onInterrupt, { once: true });
    stdin.once('data', (data: Buffer) => resolve(data.toString()));
    stdin.once('end', () => resolve(''));
    stdin.resume();
  });
  stdin.pause();
  if (typed === null) throw new Complaint('interrupted', 'no answer given; nothing was done');
  return /^\s*y(?:es)?\s*$/i.test(typed);
}
