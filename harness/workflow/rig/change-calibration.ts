import { isMap, isSeq, parseDocument } from 'yaml';
import type { Wire } from '../../bench/rig.ts';
import { Complaint } from '../complaint.ts';

/** Keys of a line of the wiring, with their new figures as people write them. */
export type CalibrationChange = Readonly<
  Partial<Record<'scale' | 'offset' | 'standard-scale' | 'standard-offset' | 'noise', string>>
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

/** The text of a rig file with new figures for one wire and the date of its instrument's calibration. Comments stay. */
export function changeCalibration(
  text: string,
  wire: Pick<Wire, 'signal' | 'of' | 'instrument'>,
  change: CalibrationChange,
  { date, certificate, due }: CalibrationRecord,
): string {
  const document = parseDocument(text);
  const wiring = document.get('wiring');
  const lines = isSeq(wiring) ? wiring.items : [];
  const line = lines.find(
    (item) =>
      isMap(item) && item.get('signal') === wire.signal && (item.get('of') ?? 'all') === wire.of,
  );
  if (!isMap(line))
    throw new Complaint(
      'bad-file',
      `expected a line for ${wire.signal} of ${wire.of} in the wiring, found none; has the file changed since?`,
    );
  for (const [key, value] of Object.entries(change)) line.set(key, document.createNode(value));
  const place = ['instruments', wire.instrument, 'calibration'];
  // Only a certificate makes a new date of the instrument's own calibration.
  if (certificate !== undefined && due !== undefined) {
    document.setIn([...place, 'date'], date);
    document.setIn([...place, 'due'], due);
    document.setIn([...place, 'certificate'], certificate);
  }
  line.comment = ` calibrated ${date}${certificate === undefined ? '' : `, ${certificate}`}`;
  return document.toString({ lineWidth: 0 });
}
