import { Argument } from 'commander';
import * as z from 'zod';
import { driverSettings } from '../../../drivers/registry.ts';
import { readLamp } from '../../bench/lamp-file.ts';
import { readRig } from '../../bench/rig-file.ts';
import type { Issue } from '../../files/issue.ts';
import { renderIssues } from '../../files/render-issues.ts';
import { counted } from '../../report/words/prose.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { findFiles } from '../../workflow/inputs/find-files.ts';
import { readFile } from '../../workflow/inputs/read-file.ts';
import { readSpecFiles } from '../../workflow/inputs/read-specs.ts';
import { refuseSwapped } from '../../workflow/inputs/refuse-swapped.ts';
import { usualLamp } from '../../workflow/project/project-file.ts';
import { exitCodes } from '../common/exit-codes.ts';
import type { Io, Register } from '../common/io.ts';
import { type ClaimReport, claimReport, isRefused, renderClaims } from './check-claims.ts';
import { fileKinds, isFileKind, jsonSchemaOf } from './file-kinds.ts';

interface Options {
  readonly lamp?: string;
  readonly rig?: string;
  readonly json?: boolean;
  readonly schema?: string;
  readonly metrics?: boolean;
}

export const register: Register = (command, io) => {
  command
    .addArgument(
      new Argument('[path...]', 'spec, lamp, rig and policy files, or folders of them').default(
        ['specs'],
        'specs',
      ),
    )
    .option(
      '--lamp <file>',
      "lamp file to read the specs for (default: the project's, or Alcove-6)",
    )
    .option('--rig <file>', 'check whether this rig can prove each claim')
    .option('--json', 'print one JSON document')
    .option('--schema <kind>', `print the JSON Schema of a file kind: ${fileKinds.join(', ')}`)
    .option('--metrics', 'list the metrics that a criterion may name')
    .action(async (paths: string[], options: Options) => {
      if (options.schema !== undefined) printSchema(options.schema, io);
      else if (options.metrics) await printMetrics(io);
      else await check(paths, options, io);
    });
};

/** What `--json` prints. */
interface CheckReport {
  readonly format: 'evenfall-check';
  readonly version: 2;
  readonly lamp: string | null;
  readonly lamps: readonly string[];
  readonly rigs: readonly string[];
  readonly policies: readonly string[];
  readonly claims: readonly ClaimReport[];
  readonly lampTime: number;
  readonly issues: readonly Issue[];
}

const endings = ['.spec.yaml', '.lamp.yaml', '.rig.yaml', '.policy.yaml'] as const;

async function check(paths: readonly string[], options: Options, io: Io): Promise<void> {
  // Each schema is used a few times only: compiling it would take longer than it saves.
  z.config({ jitless: true });
  const files = findFiles(paths, endings, io.cwd);
  const of = (ending: string): string[] => files.filter((file) => file.endsWith(ending));
  const [specs, lamps, rigs] = [of('.spec.yaml'), of('.lamp.yaml'), of('.rig.yaml')];
  const policies = of('.policy.yaml');
  if (files.length === 0) {
    const where = paths.join(', ');
    throw new Complaint('no-input', `expected ${endings.join(', ')} files in ${where}, found none`);
  }
  const strangers = files.filter((file) => !endings.some((ending) => file.endsWith(ending)));
  const issues: Issue[] = strangers.map(strangerIssue);
  const lampFile = options.lamp ?? usualLamp(io.cwd);
  refuseSwapped('lamp', readFile(lampFile, io.cwd));
  if (options.rig !== undefined) refuseSwapped('rig', readFile(options.rig, io.cwd));
  const lampOf = (file: string) => readLamp(readFile(file, io.cwd).text, file);
  const rigOf = (file: string) => readRig(readFile(file, io.cwd).text, file, driverSettings);
  const lamp = lampOf(lampFile);
  const rig = options.rig === undefined ? null : rigOf(options.rig);
  const others = [
    ...lamps.filter((file) => file !== lampFile).map(lampOf),
    ...rigs.filter((file) => file !== options.rig).map(rigOf),
  ];
  for (const read of [
    lamp,
    ...(rig ? [rig] : []),
    ...others,
    ...(await readPolicies(policies, io)),
  ])
    if ('issues' in read) issues.push(...read.issues);
  const read = 'lamp' in lamp ? readSpecFiles(specs, lamp.lamp, io.cwd) : { plans: [], issues: [] };
  issues.push(...read.issues);
  const against = rig && 'rig' in rig ? { rig: rig.rig, today: localDate(new Date()) } : null;
  const claims =
    'lamp' in lamp ? read.plans.map((plan) => claimReport(plan, lamp.lamp, against)) : [];
  const report: CheckReport = {
    format: 'evenfall-check',
    version: 2,
    lamp: 'lamp' in lamp ? lamp.lamp.lamp : null,
    lamps,
    rigs,
    policies,
    claims,
    lampTime: claims.reduce((sum, claim) => sum + claim.lampTime, 0),
    issues,
  };
  print(report, options, io);
  if (claims.some(isRefused)) io.exitCode = exitCodes.bench;
  if (issues.length > 0) io.exitCode = exitCodes.badFile;
}

function print(report: CheckReport, { json = false }: Options, io: Io): void {
  if (json) {
    io.stdout(`${JSON.stringify(report, null, 2)}\n`);
    return;
  }
  const { claims, issues, lamps, rigs, policies } = report;
  if (issues.length > 0) {
    const places = new Set(issues.map(({ file }) => file)).size;
    io.stderr(`${renderIssues(issues, { colour: io.colour })}\n`);
    io.stderr(`${counted(issues.length, 'issue')} in ${counted(places, 'file')}\n`);
  }
  if (claims.length > 0) io.stdout(renderClaims(claims, report.lampTime, io));
  const others = [
    lamps.length > 0 ? counted(lamps.length, 'lamp file') : '',
    rigs.length > 0 ? counted(rigs.length, 'rig file') : '',
    policies.length > 0 ? counted(policies.length, 'policy file') : '',
  ].filter(Boolean);
  if (others.length > 0) io.stdout(`${others.join(', ')} read\n`);
  if (issues.length === 0) io.stdout('no issues\n');
}

/** YYYY-MM-DD where the bench stands. */
function localDate(now: Date): string {
  const two = (value: number): string => String(value).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

function strangerIssue(file: string): Issue {
  return {
    file,
    line: 1,
    column: 1,
    path: '',
    message: `expected a name that ends in ${endings.join(', ')}; the ending says what kind of file it is`,
    excerpt: '',
    length: 1,
  };
}

function printSchema(kind: string, io: Io): void {
  if (!isFileKind(kind))
    throw new Complaint('usage', `expected --schema ${fileKinds.join(', ')}, found ${kind}`);
  io.stdout(`${JSON.stringify(jsonSchemaOf(kind), null, 2)}\n`);
}

async function printMetrics(io: Io): Promise<void> {
  const { metrics } = await import('../../measure/metrics.ts');
  for (const { id, title, shown, needs, parameters, source } of metrics) {
    const unit = shown === '1' ? 'a number' : shown;
    const reads = needs.signals.join(' or ') || 'no record';
    io.stdout(`${id}\n    ${title}; ${unit}; reads ${reads}; source: ${source}\n`);
    for (const { name, kind, default: usual, about } of parameters) {
      const what = typeof kind === 'string' ? kind : kind.join(' | ');
      const figure = typeof usual === 'number' && typeof kind === 'string';
      const value = figure ? formatQuantity(usual, kind) : usual;
      const otherwise = value === null ? 'must be given' : `${value} if not given`;
      io.stdout(`    ${name}: ${about} (${what}, ${otherwise})\n`);
    }
  }
}

/** What compares the names of people has a large table, which checks of specs need not load. */
async function readPolicies(files: readonly string[], io: Io) {
  if (files.length === 0) return [];
  const { parsePolicy } = await import('../../workflow/signing/read-policy.ts');
  return files.map((file) => parsePolicy(readFile(file, io.cwd).text, file));
}
