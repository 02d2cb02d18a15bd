import type { Rig } from '../../bench/rig.ts';
import type { Commanded, SelfReport } from '../../measure/observation.ts';
import type { Pass } from '../../plan/captures/passes.ts';
import type { CommandRecord, Freshness } from '../../record/run-record.ts';
import type { AirWatch } from '../ambient/air-watch.ts';
import type { SupplyWatch } from '../power/supply-watch.ts';
import type { SwitchWatch } from '../power/switch-watch.ts';
import type { HeardPass } from '../records/heard-pass.ts';
import type { DrivesOfPass, InsideOfPass } from '../records/inside-of-pass.ts';
import type { LoggedPass } from '../records/logged-pass.ts';
import type { PassRecords } from '../records/pass-records.ts';
import type { ProbeOfPass } from '../records/probes-of-pass.ts';
import type { RawRecord } from '../records/raw-record.ts';
import { passDeviation } from './pass-deviation.ts';
import type { SaidOfItself } from './self-reports.ts';
import type { Answer } from './stimulus.ts';

/** Everything that the passes of a condition have brought so far, on the time line of the first one. */
export class Gathered {
  readonly records: PassRecords = { waveforms: [], alongside: [], colour: [], frames: [] };
  readonly commands: CommandRecord[] = [];
  readonly answers: Answer[] = [];
  readonly selfReports: SelfReport[] = [];
  readonly saidOfItself: SaidOfItself[] = [];
  /** Of the records of each digitiser, in each pass. */
  readonly freshness: Freshness[] = [];
  /** The supply in each pass. */
  readonly power: SupplyWatch[] = [];
  /** The switch, and the air about the lamp. */
  readonly relays: SwitchWatch[] = [];
  readonly air: AirWatch[] = [];
  /** What was sent to the lamp in each pass; of none where the bench cannot tell. */
  readonly heard: HeardPass[] = [];
  /** What the firmware logged in each pass in which it did. */
  readonly logged: LoggedPass[] = [];
  /** Variables of the firmware that were asked for, in each pass. */
  readonly probes: ProbeOfPass[] = [];
  /** What the firmware set its outputs to in each pass; of none unless everything is recorded. */
  readonly drives: DrivesOfPass[number][] = [];
  /** What passed between firmware and lamp in each pass, likewise; null where it was too much to keep. */
  readonly transcripts: (string | null)[] = [];
  /** Instant of the bench's clock at which the stimulus of the pass under way began; null before that. */
  passBegan: number | null = null;
  #commanded: Commanded | null = null;

  /** What the light ought to have done; null before the first pass has ended. */
  get commanded(): Commanded | null {
    return this.#commanded;
  }

  /** Adds a pass. Throws a bench error where its time line does not fit the first one's. */
  add(pass: Pass, records: PassRecords, story: Commanded, rig: Rig): void {
    this.records.colour.push(...records.colour);
    this.records.frames.push(...records.frames);
    this.records.alongside.push(...records.alongside);
    const first = this.#commanded;
    if (!first) {
      this.records.waveforms.push(...records.waveforms);
      this.#commanded = story;
      return;
    }
    const [capture] = pass.captures;
    const apart = passDeviation(first, story, capture?.wire.instrument ?? rig.rig);
    // Somewhere between none and all of it, equally likely: a rectangle (JCGM 100:2008, 4.3.7).
    const standard = apart / Math.sqrt(3);
    this.records.waveforms.push(...records.waveforms.map((one) => startKnownTo(one, standard)));
    this.#commanded = merged(first, story, pass.solo, standard);
  }

  /** Adds what was recorded of a pass beside what its claim asks for. */
  lookInside({ drives, records, heard, transcript }: InsideOfPass): void {
    this.drives.push(...drives);
    this.transcripts.push(transcript);
    this.records.alongside.push(...records);
    if (heard && !this.heard.some(({ solo }) => solo === heard.solo)) this.heard.push(heard);
  }

  /** Adds what was sent to the lamp in a pass; null where the bench cannot tell. */
  overhear(heard: HeardPass | null): void {
    if (heard) this.heard.push(heard);
  }
}

function startKnownTo(record: RawRecord, standard: number): RawRecord {
  if (standard === 0) return record;
  const { raw } = record;
  const standardStart = Math.hypot(raw.standardStart ?? 0, standard);
  return { ...record, raw: { ...raw, standardStart } };
}

/** With one channel lit at a time, each channel's story is that of its own pass. */
function merged(first: Commanded, story: Commanded, solo: string | null, apart: number): Commanded {
  const instant = Math.max(
    first.standardInstant ?? 0,
    Math.hypot(story.standardInstant ?? 0, apart),
  );
  const before = instant > 0 ? { ...first, standardInstant: instant } : first;
  if (solo === null) return before;
  const own = story.channels.find(({ channel }) => channel === solo);
  const channels = before.channels.map((channel) =>
    channel.channel === solo && own ? own : channel,
  );
  return { ...before, channels };
}
