import { readCapture, samplesOf } from '../../archive/capture-file.ts';
import { readFigure } from '../../files/read-figure.ts';
import { claimCondition } from '../../record/condition-words.ts';
import { isStored } from '../../record/kept-captures.ts';
import type { ConditionRecord, RunRecord } from '../../record/run-record.ts';
import {
  type CapturedSamples,
  captureChannels,
} from '../../report/exchange/vcd/capture-channels.ts';
import { conditionChannels } from '../../report/exchange/vcd/condition-channels.ts';
import { renderVcd } from '../../report/exchange/vcd/render-vcd.ts';
import type { VcdChannel } from '../../report/exchange/vcd/vcd-channel.ts';
import { Complaint } from '../../workflow/complaint.ts';
import type { Io } from '../common/io.ts';
import { namedClaim, namedCondition } from '../common/named-condition.ts';

export interface VcdOptions {
  readonly claim?: string;
  readonly condition?: string;
  readonly from?: string;
  readonly to?: string;
}

/** Samples of all captures together: a file of some 50 MB. */
const mostSamples = 1_000_000;

/** One condition of a stored run, with everything that was captured, sent and said, for a waveform viewer. */
export async function conditionVcd(
  record: RunRecord,
  folder: string,
  options: VcdOptions,
  io: Io,
): Promise<string> {
  const spec = namedClaim(record, options.claim);
  const condition = namedCondition(spec, options.condition);
  const name = claimCondition(spec.spec, condition.key);
  const told = conditionChannels(condition);
  const span = spanOf(condition, told, options);
  const samples = await capturedWithin(condition, folder, span);
  const sum = samples.reduce((all, one) => all + within(one, span), 0);
  const share = Math.min(1, mostSamples / Math.max(1, sum));
  if (share < 1)
    io.stderr(
      `${sum} samples are more than the ${mostSamples} that a file holds: of each stretch the lowest and the highest are written; --from and --to select a shorter time\n`,
    );
  const captured = samples.flatMap((one) =>
    captureChannels(one, span, Math.max(2, Math.ceil(within(one, span) * share))),
  );
  const left = condition.captures.filter((capture) => !isStored(capture)).length;
  if (left > 0) io.stderr(`without ${left} captures, which the run did not keep\n`);
  io.stderr(`${name}: ${span.from.toFixed(6)} s to ${span.to.toFixed(6)} s\n`);
  const comment = [
    `${record.lamp.name}, build ${record.lamp.build}: run ${record.id}`,
    `${name}: ${condition.verdict}`,
    `0 is ${span.from.toFixed(9)} s on the time line of the condition`,
    'Texts are ASCII, their last byte at the right',
  ];
  const channels = distinct([...captured, ...told]);
  return renderVcd({ comment, scope: 'condition', channels, ...span });
}

/** s. A rig's story begins when its bench is opened. */
const longestBefore = 5;

interface Span {
  readonly from: number;
  readonly to: number;
}

/** What is asked for; else from the first that is told, such as the lamp's start, to the end of the condition. */
function spanOf(
  condition: ConditionRecord,
  told: readonly VcdChannel[],
  options: VcdOptions,
): Span {
  const { captures, duration } = condition;
  const ends = captures.map(({ start, samples, rate }) => start + samples / rate);
  const first = told.map(({ at }) => at[0] ?? 0);
  const from = instantOf('--from', options.from) ?? Math.max(-longestBefore, Math.min(0, ...first));
  const to = instantOf('--to', options.to) ?? Math.max(duration, ...ends);
  if (to > from) return { from, to };
  throw new Complaint(
    'usage',
    `--to: expected an instant after ${from.toFixed(6)} s, found ${to.toFixed(6)} s`,
  );
}

function instantOf(option: string, text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const read = readFigure(text, 'time', { least: -86_400, most: 31 * 86_400 });
  if ('value' in read) return read.value;
  throw new Complaint('usage', `${option}: ${read.problem}`);
}

async function capturedWithin(
  { captures }: ConditionRecord,
  folder: string,
  { from, to }: Span,
): Promise<readonly CapturedSamples[]> {
  const wanted = captures.filter(
    (capture) =>
      isStored(capture) &&
      !capture.frame &&
      capture.start < to &&
      capture.start + capture.samples / capture.rate > from,
  );
  return Promise.all(
    wanted.map(async (capture) => {
      return { capture, samples: samplesOf(await readCapture(folder, capture.file)) };
    }),
  );
}

function within(
  { capture: { start, rate }, samples }: CapturedSamples,
  { from, to }: Span,
): number {
  const begin = Math.max(from, start);
  const end = Math.min(to, start + samples.length / rate);
  return Math.max(0, Math.ceil((end - begin) * rate) + 2);
}

/** Two of one name would be one line of a viewer. */
function distinct(channels: readonly VcdChannel[]): readonly VcdChannel[] {
  const taken = new Set<string>();
  return channels.map((channel) => {
    let { name } = channel;
    for (let number = 2; taken.has(name); number++) name = `${channel.name}_${number}`;
    taken.add(name);
    return { ...channel, name };
  });
}
