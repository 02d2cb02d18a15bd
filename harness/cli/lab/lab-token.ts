import { Argument, type Command, Option } from 'commander';
import * as z from 'zod';
import { personRoles } from '../../lab/access/access.ts';
import type { LabClient } from '../../lab/client/lab-client.ts';
import { nothing } from '../../lab/client/lab-client.ts';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';
import { textTable } from '../common/text-table.ts';
import { addLabOptions, type LabOptions, labClient, withLab } from './lab-options.ts';

interface Options extends LabOptions {
  readonly role: readonly string[];
  readonly rig?: boolean;
}

const actions = ['list', 'add', 'replace', 'revoke'] as const;
type Action = (typeof actions)[number];

/** `evenfall lab token list|add|replace|revoke [NAME]`: who may do what in a lab. */
export function register(command: Command, io: Io): void {
  addLabOptions(command)
    .description('give tokens of a lab to people and rigs, and take them away')
    .addArgument(new Argument('<action>', 'what to do').choices(actions))
    .addArgument(new Argument('[name]', 'the person or the rig'))
    .addOption(
      new Option('--role <role...>', 'what the person may do')
        .choices(personRoles)
        .default([], 'none'),
    )
    .option('--rig', 'it is a rig: it may take shards, and nothing else')
    .action((action: Action, name: string | undefined, options: Options) =>
      withLab(io, () => changeTokens(action, name, options, io)),
    );
}

async function changeTokens(
  action: Action,
  name: string | undefined,
  options: Options,
  io: Io,
): Promise<void> {
  const client = labClient(options, io);
  if (action === 'list') return listTokens(client, io);
  if (name === undefined) throw new Complaint('usage', `${action}: expected a name, found none`);
  const at = `/api/holders/${encodeURIComponent(name)}`;
  const token = z.object({ token: z.string() });
  if (action === 'revoke') {
    await client.ask({ method: 'POST', path: `${at}/revoke`, body: {}, answer: nothing }, 0);
    io.stdout(`The token of ${name} is worth nothing any more\n`);
  } else if (action === 'replace') {
    const path = `${at}/replace`;
    const made = await client.ask({ method: 'POST', path, body: {}, answer: token }, 0);
    io.stdout(`${made.token}\n`);
  } else {
    const { rig, role } = options;
    if (rig === role.length > 0)
      throw new Complaint('usage', 'expected --rig for a rig, or --role for a person');
    const body = { name, kind: rig ? 'rig' : 'person', roles: rig ? ['run'] : role };
    const made = await client.ask({ method: 'POST', path: '/api/holders', body, answer: token }, 0);
    io.stdout(`${made.token}\n`);
    io.stderr('The token is shown only now; keep it where secrets are kept.\n');
  }
}

const listed = z.object({
  holders: z.array(
    z.object({
      name: z.string(),
      kind: z.string(),
      roles: z.array(z.string()),
      createdAt: z.string(),
      isRevoked: z.boolean(),
    }),
  ),
});

async function listTokens(client: LabClient, io: Io): Promise<void> {
  const { holders } = await client.ask({ method: 'GET', path: '/api/holders', answer: listed }, 0);
  const rows = holders.map(({ name, kind, roles, createdAt, isRevoked }) => [
    name,
    kind,
    roles.join(', '),
    createdAt.slice(0, 10),
    isRevoked ? 'revoked' : '',
  ]);
  io.stdout(textTable([['name', 'kind', 'may', 'since', ''], ...rows]));
}
