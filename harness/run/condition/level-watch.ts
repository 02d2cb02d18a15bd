import { BenchError } from '../../bench/errors.ts';
import type { LampLink, LampTarget } from '../../bench/ports.ts';
import type { Action } from '../../plan/schedule.ts';
import { maybeDeaf } from './must-answer.ts';
import { hasPower } from './prove-silence.ts';
import { callOn, linkOf, type StimulusContext } from './stimulus.ts';

/** A level that the lamp rounded to a step of its own is the commanded one within this factor, and within this much at the bottom. */
const rounded = 1.25;
const bottom = 3e-3;
/** The lamp has followed a command after this, s. */
const follows = 0.15;
/** However late a lamp is, it has followed after this, s. */
const surelyFollows = 1.5;
/** A question and its answer take no longer, s. */
const asking = 0.35;
/** A command is repeated so often before the lamp, or what leads to it, is believed. */
const repeats = 3;

/** What the lamp said that it had, where something else was commanded. */
interface Doubt {
  readonly sender: LampLink;
  readonly target: LampTarget;
  readonly said: number;
  /** What it was to have before. */
  readonly before: number;
}

/**
 * Asks the lamp for its level in the holds after a command, where a link of the rig can ask: a figure that lost a digit on its way is
 * confirmed like any other, and DALI confirms nothing. What the lamp says then is evidence of what it was told; its light is what is judged.
 */
export class LevelWatch {
  readonly #asker: LampLink;
  readonly #context: StimulusContext;
  readonly #doubts: Doubt[] = [];
  #looking: Promise<void> = Promise.resolve();
  #before = 0;

  private constructor(asker: LampLink, context: StimulusContext) {
    this.#asker = asker;
    this.#context = context;
  }

  /** Null where time is virtual, and where no link can ask. */
  static over(context: StimulusContext): LevelWatch | null {
    const { bench } = context;
    if (bench.clock.kind === 'virtual') return null;
    const asker = [...bench.instruments.values()].find(
      (one): one is LampLink => one.kind === 'lamp-link' && one.level !== undefined,
    );
    return asker ? new LevelWatch(asker, context) : null;
  }

  /** A step has been carried out, and the next one is `seconds` away. */
  look({ step }: Action, seconds: number): void {
    if (step.verb !== 'set' && step.verb !== 'fade') return;
    const context = this.#context;
    const before = this.#before;
    const { target } = context.light;
    this.#before = target.level;
    const sender = linkOf(context, step.link);
    const confirms = sender.link === 'console' || sender.link === 'dali';
    const due = (step.verb === 'fade' ? step.over : 0) + follows;
    if (!confirms || seconds < due + asking || !hasPower(context) || maybeDeaf(context)) return;
    const { clock } = context.bench;
    this.#looking = this.#looking
      .then(() => clock.waitUntil(clock.now() + due, context.signal))
      .then(() => this.#ask())
      .then((said) => {
        if (said !== null && !alike(said, target.level))
          this.#doubts.push({ sender, target, said, before });
      });
    // Whoever waits for it hears of it.
    this.#looking.catch(() => {});
  }

  /** Throws BenchError `garbled` where the lamp had been told something else than was sent, and the same command holds now. */
  async end(): Promise<void> {
    await this.#looking;
    const [first] = this.#doubts;
    if (first) await this.#settle(first);
  }

  async #settle({ sender, target, said, before }: Doubt): Promise<void> {
    const again: (number | null)[] = [];
    for (let turn = 0; turn < repeats; turn++) again.push(await this.#tried(sender, target, said));
    const obeyed = again.filter((level) => level !== null && alike(level, target.level));
    const words = `${this.#asker.name} says that the lamp had level ${percent(said)} where ${percent(target.level)} was sent on ${sender.name}; sent again ${repeats} times, it had ${again.map((level) => (level === null ? 'none that it could tell' : percent(level))).join(', ')}`;
    if (obeyed.length > 0) throw garbled(sender, words);
    // A lamp that keeps the level it had, or does the same by another link, was told the right thing.
    if (sender === this.#asker || alike(said, before)) return;
    const other = await this.#tried(this.#asker, target, said);
    if (other === null || !alike(other, target.level)) return;
    throw garbled(sender, `${words}; by ${this.#asker.name} it took the same level at once`);
  }

  /**
   * The level that the lamp has as soon after the command as it was asked the first time, from the level that it said it had: a lamp that
   * follows late is late again, and its own. Null where it does not take that level first.
   */
  async #tried(link: LampLink, target: LampTarget, from: number): Promise<number | null> {
    await this.#tell(link, { ...target, level: from }, surelyFollows);
    const began = await this.#ask();
    if (began === null || !alike(began, from)) return null;
    await this.#tell(link, target, follows);
    return this.#ask();
  }

  async #tell(link: LampLink, target: LampTarget, wait: number): Promise<void> {
    const { bench, signal } = this.#context;
    await link.set(target, callOn(this.#context, link.name));
    await bench.clock.waitUntil(bench.clock.now() + wait, signal);
  }

  /** Null where it cannot be told. */
  async #ask(): Promise<number | null> {
    try {
      return (await this.#asker.level?.(callOn(this.#context, this.#asker.name))) ?? null;
    } catch (error) {
      if (error instanceof BenchError && error.kind !== 'cancelled') return null;
      throw error;
    }
  }
}

function garbled(sender: LampLink, words: string): BenchError {
  return new BenchError(
    'garbled',
    sender.name,
    `${words}: what was sent was lost or changed on its way, or the lamp missed it or read it wrongly. Nothing here tells which: look at the line, its baud rate and its ground, and at the lamp with another sender`,
  );
}

function alike(one: number, other: number): boolean {
  if (Math.abs(one - other) <= bottom) return true;
  return one <= rounded * other && other <= rounded * one;
}

function percent(level: number): string {
  return `${Number((level * 100).toPrecision(3))} %`;
}
