import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { openLab } from '../../lab/lab.ts';
import { readNews } from '../../workflow/news/read-news.ts';
import { readPolicy } from '../../workflow/signing/read-policy.ts';
import { withArchive } from '../common/complaints.ts';
import { aborted, type Io } from '../common/io.ts';
import { isLoopback, listen } from '../common/listen.ts';
import { ageOrForever, timeWithin, wholeNumber } from '../common/options.ts';
import { pageAndJunit } from '../running/stored-run.ts';
import { labApp } from './app.ts';

interface Options {
  readonly folder: string;
  readonly reports: string;
  readonly database?: string;
  readonly policy?: string;
  readonly host: string;
  readonly port: number;
  /** s */
  readonly silence: number;
  readonly attempts: number;
  /** s; null: forever */
  readonly keepFiles: number | null;
  readonly news?: string;
}

/** `evenfall lab serve`: takes submissions, hands their shards to rigs, and stores what comes back. Runs until it is interrupted. */
export function register(command: Command, io: Io): void {
  command
    .description('serve a lab: take submissions, hand shards to rigs, store the results')
    .option(
      '--folder <dir>',
      "the lab's own folder: files, inputs, and the database if it has no server",
      'lab',
    )
    .option('--reports <dir>', 'the archive that takes the merged runs', 'reports')
    .option(
      '--database <url>',
      'PostgreSQL server, postgres://…; several services may share it (default: EVENFALL_LAB_DATABASE, or one in the folder)',
    )
    .option('--policy <file>', 'policy: who may decide on what; others cannot sign')
    .option('--port <n>', 'port to listen on; 0 picks a free one', wholeNumber(0, 65_535), 8470)
    .option('--host <address>', 'address to listen on', '127.0.0.1')
    .addOption(
      new Option('--silence <time>', 'hand a shard on when its rig was not heard for so long')
        .argParser(timeWithin(1, 3600))
        .default(30, '30 s'),
    )
    .option('--attempts <number>', 'how often a shard is begun at most', wholeNumber(1, 100), 5)
    .addOption(
      new Option(
        '--keep-files <age>',
        'clear inputs so long after their submission ended, and all files of one that failed; forever: clear nothing',
      )
        .argParser(ageOrForever)
        .default(thirtyDays, '30 d'),
    )
    .option('--news <file>', 'tell people and programs what has ended (docs/news.md)')
    .action((options: Options) => withArchive(() => serveLab(options, io)));
}

async function serveLab(options: Options, io: Io): Promise<void> {
  const { host, port, silence, attempts, keepFiles } = options;
  const policyFile = options.policy === undefined ? null : resolve(io.cwd, options.policy);
  // What is wrong with it shows now and not when somebody signs.
  if (policyFile !== null) await readPolicy(policyFile);
  const lab = await openLab({
    folder: resolve(io.cwd, options.folder),
    archive: resolve(io.cwd, options.reports),
    database: options.database ?? io.env['EVENFALL_LAB_DATABASE'],
    policyFile,
    reports: pageAndJunit,
    ...{ silence, attempts, keepFiles, env: io.env },
    news: options.news === undefined ? null : readNews(options.news, io),
    signal: io.interrupted,
    onError: (error) => io.stderr(`evenfall: ${error.message}\n`),
  });
  try {
    const server = await listen(labApp(lab, io).fetch, { host, port });
    try {
      if (!isLoopback(host)) io.stderr(warning(host));
      const token = await lab.access.firstToken();
      if (token !== null) io.stderr(firstWords);
      io.stdout(`${server.origin}\n${token === null ? '' : `${token}\n`}`);
      await aborted(io.interrupted);
    } finally {
      await server.close();
    }
  } finally {
    await lab.close();
  }
}

/** s */
const thirtyDays = 30 * 86_400;

const firstWords =
  "The second line is the administrator's token. It is shown only now; keep it where secrets are kept.\n";

function warning(host: string): string {
  return `evenfall: warning: with --host ${host} other computers can reach the lab, and tokens are not encrypted on the way. Let a reverse proxy with TLS stand before it (docs/lab.md).\n`;
}
