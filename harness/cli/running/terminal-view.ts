import { plainLine } from '../../files/plain-text.ts';
import { claimCondition } from '../../record/condition-words.ts';
import { timesMeasured } from '../../record/measurements.ts';
import type { SpecRecord } from '../../record/run-record.ts';
import { painter } from '../../report/text/paint.ts';
import { closestText, findingFigures } from '../../report/words/finding-words.ts';
import { counted, rigText } from '../../report/words/prose.ts';
import { timeText } from '../../report/words/value-text.ts';
import { verdictMark } from '../../report/words/verdict-words.ts';
import { claimReason, decidingFinding } from '../../report/words/worst-first.ts';
import type { RunEvent } from '../../run/engine/events.ts';
import { severity, standsOpen, type Verdict } from '../../verdict/verdict.ts';
import type { Io } from '../common/io.ts';
import { TimeLeft } from './time-left.ts';

/** How often the status line may change, s: faster would only flicker. */
const redrawEvery = 0.1;

/**
 * The run while it goes on, on stderr. On a terminal: one status line that is written over, with the time left, and a
 * lasting line for each claim that does not hold. Elsewhere (CI, a pipe): one plain line a claim.
 * `now` is a clock in seconds.
 */
export function terminalView(
  io: Io,
  now: () => number = () => performance.now() / 1000,
): (event: RunEvent) => void {
  const view = io.terminal ? new StatusLine(io, now) : new PlainLines(io);
  return (event) => view.tell(event);
}

/** Only what must never be missed, for a log that is to stay short. */
export function quietView(io: Io): (event: RunEvent) => void {
  return (event) => {
    const lasting = lastingText(event);
    if (lasting) io.stderr(`${plainLine(lasting)}\n`);
  };
}

/** The summary tells what does not apply to the lamp; a run does not wait for it. */
function isMeant({ verdict }: Pick<SpecRecord, 'verdict'>): boolean {
  return verdict !== 'not applicable';
}

class Progress {
  claims = 0;
  claimsEnded = 0;
  conditions = 0;
  conditionsEnded = 0;
  readonly endings = new Map<Verdict, number>();
  /** Claims with a condition under way, in the order in which these began. */
  running: readonly { readonly spec: string; readonly key: string }[] = [];
  left = new TimeLeft([]);

  /** `now`: s, on any clock. */
  take(event: RunEvent, now: number): void {
    if (event.event === 'run-started') {
      this.claims = event.record.specs.filter(isMeant).length;
      this.conditions = event.conditions;
      // A run that is resumed begins with what it has.
      this.conditionsEnded = event.conditions - event.expected.length;
      this.left = new TimeLeft(event.expected);
    } else if (event.event === 'condition-started') {
      const { spec, key, lane } = event;
      this.running = [...this.running, { spec, key }];
      this.left.begun({ spec, key, lane, at: now });
    } else if (event.event === 'condition-ended') {
      const { spec, condition } = event;
      const ended = this.running.findIndex((own) => own.spec === spec && own.key === condition.key);
      this.running = this.running.filter((_, place) => place !== ended);
      this.conditionsEnded++;
      this.left.ended({ spec, key: condition.key }, now);
    } else if (event.event === 'spec-ended' && isMeant(event.spec)) {
      this.claimsEnded++;
      const { verdict } = event.spec;
      this.endings.set(verdict, (this.endings.get(verdict) ?? 0) + 1);
    }
  }
}

/** For people who look at a log afterwards: every line stands for itself, nothing is written over. */
class PlainLines {
  readonly #io: Io;
  readonly #progress = new Progress();

  constructor(io: Io) {
    this.#io = io;
  }

  tell(event: RunEvent): void {
    const progress = this.#progress;
    progress.take(event, 0);
    if (event.event === 'run-started') this.#line(openingText(event));
    if (event.event === 'condition-undecided') this.#line(undecidedText(event));
    if (event.event === 'spec-ended' && isMeant(event.spec)) {
      this.#line(`[${progress.claimsEnded}/${progress.claims}] ${claimText(event.spec)}`);
    }
    const lasting = lastingText(event);
    if (lasting) this.#line(lasting);
  }

  #line(text: string): void {
    this.#io.stderr(`${plainLine(text)}\n`);
  }
}

class StatusLine {
  readonly #io: Io;
  readonly #now: () => number;
  readonly #progress = new Progress();
  #drawn = Number.NEGATIVE_INFINITY;
  #ticking: NodeJS.Timeout | undefined;

  constructor(io: Io, now: () => number) {
    this.#io = io;
    this.#now = now;
  }

  tell(event: RunEvent): void {
    this.#progress.take(event, this.#now());
    if (event.event === 'run-started') this.#start(event);
    if (event.event === 'condition-undecided') this.#lasting(undecidedText(event));
    if (event.event === 'spec-ended' && standsOpen(event.spec)) {
      this.#lasting(claimText(event.spec), event.spec.verdict);
    }
    const lasting = lastingText(event);
    if (lasting) this.#lasting(lasting);
    if (event.event === 'run-ended') this.#end();
    else if (this.#now() - this.#drawn >= redrawEvery) this.#draw();
  }

  #start(event: Extract<RunEvent, { event: 'run-started' }>): void {
    this.#lasting(openingText(event));
    // A condition on a rig may take minutes; the time left keeps falling meanwhile.
    this.#ticking = setInterval(() => this.#draw(), 1000);
    this.#ticking.unref();
  }

  #end(): void {
    clearInterval(this.#ticking);
    this.#io.stderr(clearLine);
  }

  #lasting(text: string, verdict?: Verdict): void {
    const line = plainLine(text);
    const painted = verdict ? painter(this.#io.colour)(verdict, line) : line;
    this.#io.stderr(`${clearLine}${painted}\n`);
    this.#drawn = Number.NEGATIVE_INFINITY;
  }

  #draw(): void {
    this.#drawn = this.#now();
    // A line longer than the terminal would wrap, and then could not be written over.
    const width = Math.max(20, this.#io.columns - 1);
    const text = statusText(this.#progress, this.#drawn, width);
    const fits = [...plainLine(text)].slice(0, width).join('');
    this.#io.stderr(`${clearLine}${fits}`);
  }
}

/** Back to the start of the line, and wipe it. */
export const clearLine = '\r\u001b[2K';

/** What is running first, as far as there is room beside the counts: `camera, eye · ▲ 1 ● 3 · 12 of 40 conditions, about 9 s left`. */
function statusText(progress: Progress, now: number, width: number): string {
  const { conditions, conditionsEnded, endings } = progress;
  const counts = severity.flatMap((verdict) => {
    const count = endings.get(verdict);
    return count === undefined ? [] : [`${verdictMark[verdict]} ${count}`];
  });
  const done = `${conditionsEnded} of ${conditions} conditions`;
  const left = leftText(progress.left.left(now));
  const rest = [counts.join(' '), [done, left].filter(Boolean).join(', ')].filter(Boolean);
  const room = width - rest.join(' · ').length - 3;
  const running = shortened(progress.running.map(({ spec }) => spec).join(', '), room);
  return [running, ...rest].filter(Boolean).join(' · ');
}

/** Less than this says nothing. */
const leastRoom = 6;

function shortened(text: string, room: number): string {
  if (text.length <= room) return text;
  return room < leastRoom ? '' : `${text.slice(0, room - 1)}…`;
}

function leftText(left: number | null): string {
  if (left === null) return '';
  if (left >= 120) return `about ${Math.round(left / 60)} min left`;
  return `about ${Math.ceil(left)} s left`;
}

function openingText({
  record,
  conditions,
  lampTime,
}: Extract<RunEvent, { event: 'run-started' }>): string {
  const { lamp, rig, specs } = record;
  return `${lamp.name}, build ${lamp.build}, on ${rigText(rig)}: ${claimCount(specs)}, ${counted(conditions, 'condition')}, ${timeText(lampTime)} of lamp time`;
}

/** `26 claims`, and how many more the lamp cannot have. */
function claimCount(specs: readonly SpecRecord[]): string {
  const meant = specs.filter(isMeant).length;
  const beside = specs.length - meant;
  const claims = counted(meant, 'claim');
  return beside === 0 ? claims : `${claims} (${beside} more not applicable)`;
}

function claimText(spec: SpecRecord): string {
  const head = `${verdictMark[spec.verdict]} ${spec.verdict}  ${spec.folder}/${spec.spec}`;
  if (spec.verdict === 'pass') {
    const closest = closestText(spec);
    return closest === null ? head : `${head}: ${closest}`;
  }
  const deciding = decidingFinding(spec);
  const why = deciding ? findingFigures(deciding) : (claimReason(spec) ?? 'no reason given');
  return `${head}: ${why}`;
}

function undecidedText({
  spec,
  condition,
  atMost,
}: Extract<RunEvent, { event: 'condition-undecided' }>): string {
  const next = timesMeasured(condition) + 1;
  return `${claimCondition(spec, condition.key)} is inconclusive: measuring it again, ${next} of at most ${atMost}`;
}

/** What stays in view whatever follows. */
function lastingText(event: RunEvent): string | null {
  if (event.event === 'bench-trouble') {
    const next = event.retry ? 'trying again' : 'giving up on it';
    const where = claimCondition(event.spec, event.key);
    return `bench trouble in ${where}: ${event.text} (${next})`;
  }
  if (event.event === 'safe-state' && !event.confirmed)
    return `the safe state is NOT confirmed: ${event.detail}`;
  return null;
}
