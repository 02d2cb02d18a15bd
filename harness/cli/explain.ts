import { readLamp } from '../bench/lamp-file.ts';
import { claimWords } from '../spec-language/explain/claim-words.ts';
import { badFiles } from './bad-files.ts';
import { Complaint } from './complaint.ts';
import { exitCodes } from './exit-codes.ts';
import type { Io } from './io.ts';
import { readFile } from './read-file.ts';
import { readSpecFiles } from './read-specs.ts';
import type { Register } from './register.ts';
import { shippedFile } from './shipped-file.ts';

interface Options {
  readonly lamp?: string;
  readonly condition?: string;
}

/** `evenfall explain SPEC`: what will be commanded, captured and judged, in plain words. */
export const register: Register = (command, io) => {
  command
    .argument('<spec>', 'a spec file')
    .option('--lamp <file>', 'the lamp that it is read for (default: the shipped Alcove-6)')
    .option('--condition <key>', 'the condition to draw, e.g. "fade-time=2 s" (default: the first)')
    .action((file: string, options: Options) => explain(file, options, io));
};

function explain(file: string, options: Options, io: Io): void {
  const lampFile = options.lamp ?? shippedFile('lamps/alcove-6.lamp.yaml', io);
  const lamp = readLamp(readFile(lampFile, io.cwd).text, lampFile);
  if ('issues' in lamp) throw badFiles(lamp.issues, io);
  const { plans, issues } = readSpecFiles([file], lamp.lamp, io.cwd);
  const [plan] = plans;
  if (!plan) throw badFiles(issues, io);
  const wanted = options.condition;
  const condition = plan.conditions.find(({ key }) => wanted === undefined || key === wanted);
  if (!condition) {
    const keys = plan.conditions.map(({ key }) => `"${key}"`).join(', ') || 'none on this lamp';
    throw new Complaint(
      exitCodes.usage,
      `expected a condition of ${plan.spec}, found "${wanted}"; it has: ${keys}`,
    );
  }
  io.stdout(`${claimWords(plan, condition, lamp.lamp, io.columns).join('\n')}\n`);
}
