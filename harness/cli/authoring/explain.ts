import { readLamp } from '../../bench/lamp-file.ts';
import { namesCondition } from '../../record/condition-words.ts';
import { claimWords } from '../../spec-language/explain/claim-words.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { BadFiles } from '../../workflow/inputs/bad-files.ts';
import { readFile } from '../../workflow/inputs/read-file.ts';
import { readSpecFiles } from '../../workflow/inputs/read-specs.ts';
import { usualLamp } from '../../workflow/project/project-file.ts';
import type { Io, Register } from '../common/io.ts';

interface Options {
  readonly lamp?: string;
  readonly condition?: string;
}

/** `evenfall explain SPEC`: what will be commanded, captured and judged, in plain words. */
export const register: Register = (command, io) => {
  command
    .argument('<spec>', 'a spec file')
    .option('--lamp <file>', "lamp file to read it for (default: the project's, or Alcove-6)")
    .option('--condition <key>', 'the condition to draw, e.g. "fade-time=2 s" (default: the first)')
    .action((file: string, options: Options) => explain(file, options, io));
};

function explain(file: string, options: Options, io: Io): void {
  const lampFile = options.lamp ?? usualLamp(io.cwd);
  const lamp = readLamp(readFile(lampFile, io.cwd).text, lampFile);
  if ('issues' in lamp) throw new BadFiles(lamp.issues);
  const { plans, issues } = readSpecFiles([file], lamp.lamp, io.cwd);
  const [plan] = plans;
  if (!plan) throw new BadFiles(issues);
  const wanted = options.condition;
  const condition = plan.conditions.find(
    ({ key }) => wanted === undefined || namesCondition(wanted, key),
  );
  if (!condition) {
    const keys = plan.conditions.map(({ key }) => `"${key}"`).join(', ') || 'none on this lamp';
    throw new Complaint(
      'usage',
      `expected a condition of ${plan.spec}, found "${wanted}"; it has: ${keys}`,
    );
  }
  io.stdout(`${claimWords(plan, condition, lamp.lamp, io.columns).join('\n')}\n`);
}
