import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { aborted, type Io } from '../common/io.ts';
import { isLoopback } from '../common/listen.ts';
import { wholeNumber } from '../common/options.ts';
import { type Desk, trustOf } from './desk.ts';
import { openServer } from './open-server.ts';

interface Options {
  readonly reports: string;
  readonly port: number;
  readonly host: string;
  readonly key?: string;
  readonly public: readonly string[];
  readonly policy?: string;
}

const thisComputer = '127.0.0.1';

/** `evenfall view`: the archive in a browser, on this computer only unless told otherwise. Runs until it is interrupted. */
export function register(command: Command, io: Io): void {
  command
    .option('--reports <dir>', 'the archive', 'reports')
    .option('--port <n>', 'port to listen on; 0 picks a free one', wholeNumber(0, 65_535), 0)
    .option('--host <address>', 'address to listen on', thisComputer)
    .option('--key <file>', 'private key for signing decisions')
    .addOption(new Option('--public <key...>', 'public keys to trust').default([], 'none'))
    .option('--policy <file>', 'policy: who may decide on what; trusts its keys')
    .action((options: Options) => view(options, io));
}

async function view(options: Options, io: Io): Promise<void> {
  const { host } = options;
  const desk: Desk = {
    root: resolve(io.cwd, options.reports),
    keyFile: options.key === undefined ? null : resolve(io.cwd, options.key),
    publicFiles: options.public.map((file) => resolve(io.cwd, file)),
    policyFile: options.policy === undefined ? null : resolve(io.cwd, options.policy),
    loopback: isLoopback(host),
    io,
  };
  // A key or a policy that cannot be used is said at once, not on the first page.
  await trustOf(desk);
  if (!desk.loopback) io.stderr(warning(host));
  const server = await openServer(desk, { host, port: options.port });
  io.stdout(`${server.address}\n`);
  io.stderr('Open this address in a browser. Ctrl-C stops the server.\n');
  try {
    await aborted(io.interrupted);
  } finally {
    await server.close();
  }
}

function warning(host: string): string {
  return `evenfall: warning: with --host ${host} other computers can reach these pages, and what they send is not encrypted. Whoever sees the address with its token can read every run. Signing is switched off; an SSH tunnel to ${thisComputer} is the safer way.\n`;
}
