import type { Command } from 'commander';
import { nothing } from '../../lab/client/lab-client.ts';
import type { Io } from '../common/io.ts';
import { addLabOptions, type LabOptions, labClient, withLab } from './lab-options.ts';

/** `evenfall lab cancel SUBMISSION`: what waits is taken back, and rigs leave what they run. */
export function register(command: Command, io: Io): void {
  addLabOptions(command)
    .description('end a submission: what waits is taken back, and rigs leave what they run')
    .argument('<submission>', 'its id, as evenfall submit printed it')
    .action((submission: string, options: LabOptions) =>
      withLab(io, async () => {
        const path = `/api/submissions/${encodeURIComponent(submission)}/cancel`;
        await labClient(options, io).ask({ method: 'POST', path, body: {}, answer: nothing }, 0);
        io.stdout(`Submission ${submission} is cancelled\n`);
      }),
    );
}
