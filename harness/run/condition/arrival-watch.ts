import { BenchError } from '../../bench/errors.ts';
import { type LinkName, streamingLinks } from '../../bench/links.ts';
import type { LampLink, LampTarget } from '../../bench/ports.ts';
import type { Schedule } from '../../plan/schedule.ts';
import type { PassRecords } from '../records/pass-records.ts';
import { callOn, linkOf, type StimulusContext } from './stimulus.ts';

/** A level that the lamp rounded to a step of its own, or raised to its lowest, is the commanded one within this factor. */
const rounded = 1.25;
/** s after which a lamp has taken a packet, of several that went out. */
const heard = 0.5;
/** A pin that moved less than this part of its input's full scale did not move. */
const still = 0.05;

type Bench = Pick<StimulusContext, 'bench' | 'rig' | 'signal'>;

/**
 * sACN and DMX512 confirm nothing: packets that are lost on the way look like a lamp that does not obey. Where another link
 * can ask the lamp for its level, or its sync pin is recorded, this tells whether anything arrived at all. Stimuli that
 * only set and fade, by such links alone; null where nothing can tell.
 */
export class ArrivalWatch {
  readonly #sender: LampLink;
  readonly #asker: LampLink | null;
  readonly #bench: Bench;

  private constructor(bench: Bench, sender: LampLink, asker: LampLink | null) {
    this.#bench = bench;
    this.#sender = sender;
    this.#asker = asker;
  }

  static over(schedule: Schedule, bench: Bench): ArrivalWatch | null {
    if (bench.bench.clock.kind === 'virtual') return null;
    const sender = soleSender(schedule, bench);
    if (!sender) return null;
    const asker = [...bench.bench.instruments.values()].find(
      (one): one is LampLink => one.kind === 'lamp-link' && one.level !== undefined,
    );
    return new ArrivalWatch(bench, sender, asker ?? null);
  }

  /**
   * Throws BenchError `late` where the lamp says that it has another level than the one that was commanded last, and that
   * another command changes nothing of it. A lamp that listens, and dims wrongly, is not excused.
   */
  async end({ level, intensities }: LampTarget): Promise<void> {
    const found = await this.#ask();
    if (found === null || (found <= rounded * level && level <= rounded * found)) return;
    const other = found > 0 ? 0 : 1;
    const { bench } = this.#bench;
    await this.#sender.set({ level: other, intensities }, callOn(this.#bench, this.#sender.name));
    await bench.clock.waitUntil(bench.clock.now() + heard, this.#bench.signal);
    const after = await this.#ask();
    if (after === null || after !== found) return;
    throw this.#nothingArrived(
      `${this.#asker?.name} says that the lamp has level ${percent(found)}, where ${percent(level)} was commanded, and ${percent(other)} changed nothing`,
    );
  }

  /** Throws BenchError `late` where the sync pin was recorded and never moved. */
  checkPin({ waveforms }: PassRecords): void {
    const pins = waveforms.filter(({ capture }) => capture.wire.signal === 'sync');
    if (pins.length === 0 || pins.some(({ capture, raw }) => moved(raw, capture.wire.fullScale)))
      return;
    throw this.#nothingArrived('the sync pin of the lamp did not move');
  }

  async #ask(): Promise<number | null> {
    const asker = this.#asker;
    if (!asker?.level) return null;
    try {
      return await asker.level(callOn(this.#bench, asker.name));
    } catch (error) {
      if (error instanceof BenchError && error.kind !== 'cancelled') return null;
      throw error;
    }
  }

  #nothingArrived(how: string): BenchError {
    const { name, link } = this.#sender;
    return new BenchError(
      'late',
      name,
      `what was sent on ${link} does not seem to arrive: ${how}. Either it was lost on the way or the lamp does not listen; look at network, universe and cable, and at the lamp with another sender`,
    );
  }
}

/** The link that alone sets and fades in this stimulus, where it is one that confirms nothing, and nothing else happens. */
function soleSender({ actions }: Schedule, bench: Bench): LampLink | null {
  const senders = new Set<LampLink>();
  for (const { step } of actions) {
    if (step.verb === 'mark') continue;
    if (step.verb !== 'set' && step.verb !== 'fade') return null;
    senders.add(linkOf(bench, step.link));
  }
  const [sender] = senders;
  if (!sender || senders.size > 1) return null;
  return streamingLinks.includes(sender.link as LinkName & (typeof streamingLinks)[number])
    ? sender
    : null;
}

function moved(
  { codes, scale }: { readonly codes: ArrayLike<number>; readonly scale: number },
  fullScale: number,
): boolean {
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < codes.length; k++) {
    const code = codes[k] ?? 0;
    if (code < lowest) lowest = code;
    if (code > highest) highest = code;
  }
  return (highest - lowest) * Math.abs(scale) > still * fullScale;
}

function percent(level: number): string {
  return `${Number((level * 100).toPrecision(3))} %`;
}
