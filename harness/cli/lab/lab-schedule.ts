import { Argument, type Command } from 'commander';
import * as z from 'zod';
import { nothing } from '../../lab/client/lab-client.ts';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';
import { textTable } from '../common/text-table.ts';
import { addLabOptions, type LabOptions, labClient, withLab } from './lab-options.ts';

const actions = ['list', 'remove'] as const;

const listed = z.object({
  schedules: z.array(
    z.object({
      name: z.string(),
      cron: z.string(),
      zone: z.string(),
      by: z.string(),
      next: z.string().nullable(),
      why: z.string().nullable(),
    }),
  ),
});

/** `evenfall lab schedule list|remove [NAME]`: what a lab submits by itself; `evenfall submit --schedule` adds one. */
export function register(command: Command, io: Io): void {
  addLabOptions(command)
    .description('list what a lab submits by itself, or end it')
    .addArgument(new Argument('<action>', 'what to do').choices(actions))
    .addArgument(new Argument('[name]', 'the schedule'))
    .action((action: (typeof actions)[number], name: string | undefined, options: LabOptions) =>
      withLab(io, () => (action === 'list' ? list(options, io) : remove(name, options, io))),
    );
}

async function list(options: LabOptions, io: Io): Promise<void> {
  const path = '/api/schedules';
  const { schedules } = await labClient(options, io).ask(
    { method: 'GET', path, answer: listed },
    0,
  );
  const rows = schedules.map(({ name, cron, zone, by, next, why }) => [
    ...[name, `${cron} (${zone})`, next ?? '', by],
    why === null ? '' : `the last time nothing was submitted: ${why}`,
  ]);
  io.stdout(textTable([['name', 'when', 'next', 'by', ''], ...rows]));
}

async function remove(name: string | undefined, options: LabOptions, io: Io): Promise<void> {
  if (name === undefined) throw new Complaint('usage', 'remove: expected a name, found none');
  const path = `/api/schedules/${encodeURIComponent(name)}/remove`;
  await labClient(options, io).ask({ method: 'POST', path, body: {}, answer: nothing }, 0);
  io.stdout(`The schedule ${name} has ended\n`);
}
