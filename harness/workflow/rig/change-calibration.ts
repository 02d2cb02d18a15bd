import { isMap, isScalar, isSeq, parseDocument, type YAMLMap, type YAMLSeq } from 'yaml';
import type { Wire } from '../../bench/rig.ts';
import { Complaint } from '../complaint.ts';

/** Keys of a line of the wiring, with their new figures as people write them. */
export type CalibrationChange = Readonly<
  Partial<
    Record<
      'scale' | 'offset' | 'standard-scale' | 'standard-offset' | 'noise' | 'full-scale',
      string
    >
  >
> & { readonly dark?: DarkText };

/** The spectrum of the dark wiring as people write it. */
export interface DarkText {
  readonly date: string;
  readonly length: string;
  readonly rate: string;
  readonly noise: string;
  readonly corner?: string;
  readonly drift?: string;
  readonly lines?: readonly { readonly frequency: string; readonly amplitude: string }[];
}

export interface CalibrationRecord {
  readonly date: string;
  readonly certificate?: string | undefined;
  readonly due?: string | undefined;
}

/**
 * The text of a rig file with new figures for one wire, and its certificate: that of the sensor with its chain. Where the line
 * serves each channel by an input of its own, it becomes a line for each. Comments stay.
 *
 * @param channels of the lamp, in their order
 */
export function changeCalibration(
  text: string,
  wire: Pick<Wire, 'signal' | 'of'>,
  change: CalibrationChange,
  { date, certificate, due }: CalibrationRecord,
  channels: readonly string[] = [],
): string {
  const document = parseDocument(text);
  const wiring = document.get('wiring');
  if (isSeq(wiring)) splitEach(wiring, wire, channels);
  const line = isSeq(wiring) ? lineOf(wiring, wire) : undefined;
  if (!line)
    throw new Complaint(
      'bad-file',
      `expected a line for ${wire.signal} of ${wire.of} in the wiring, found none; has the file changed since?`,
    );
  for (const [key, value] of Object.entries(change)) line.set(key, document.createNode(value));
  // Only a certificate makes a new date of the calibration.
  if (certificate !== undefined && due !== undefined)
    line.set('calibration', document.createNode({ date, due, certificate }));
  line.comment = ` calibrated ${date}${certificate === undefined ? '' : `, ${certificate}`}`;
  return document.toString({ lineWidth: 0 });
}

function lineOf(wiring: YAMLSeq, { signal, of }: Pick<Wire, 'signal' | 'of'>): YAMLMap | undefined {
  return wiring.items.find(
    (item): item is YAMLMap =>
      isMap(item) && item.get('signal') === signal && (item.get('of') ?? 'all') === of,
  );
}

/** A line of `of: each` has one scale for all of its inputs: one of them can only be calibrated in a line of its own. */
function splitEach(
  wiring: YAMLSeq,
  { signal, of }: Pick<Wire, 'signal' | 'of'>,
  channels: readonly string[],
): void {
  const each = lineOf(wiring, { signal, of: 'each' });
  if (!each || !channels.includes(of) || lineOf(wiring, { signal, of })) return;
  const inputs = each.get('inputs');
  const names = isSeq(inputs)
    ? inputs.items.map((item) => (isScalar(item) ? item.value : item))
    : [];
  if (names.length < channels.length) return;
  const lines = channels.map((channel, index) => {
    const line = each.clone() as YAMLMap;
    if (index > 0) line.commentBefore = null;
    line.set('of', channel);
    line.delete('inputs');
    line.set('input', names[index]);
    return line;
  });
  const spare = names.slice(channels.length);
  const [last] = lines.slice(-1);
  if (spare.length > 0 && last)
    last.comment = ` inputs ${spare.join(', ')} are beyond the lamp's channels`;
  wiring.items.splice(wiring.items.indexOf(each), 1, ...lines);
}
