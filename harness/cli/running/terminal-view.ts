import { plainLine } from '../../files/plain-text.ts';
import { claimCondition } from '../../record/condition-words.ts';
import type { SpecRecord } from '../../record/run-record.ts';
import { painter } from '../../report/text/paint.ts';
import { closestText, findingFigures } from '../../report/words/finding-words.ts';
import { counted, rigText } from '../../report/words/prose.ts';
import { timeText } from '../../report/words/value-text.ts';
import { verdictMark } from '../../report/words/verdict-words.ts';
import { claimReason, decidingFinding } from '../../report/words/worst-first.ts';
import type { RunEvent } from '../../run/engine/events.ts';
import { standsOpen, type Verdict } from '../../verdict/verdict.ts';
import type { Io } from '../common/io.ts';

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

/** The summary tells what does not apply to the lamp; a run does not wait for it. */
function isMeant({ verdict }: Pick<SpecRecord, 'verdict'>): boolean {
  return verdict !== 'not applicable';
}

class Progress {
  claims = 0;
  claimsEnded = 0;
  conditions = 0;
  conditionsEnded = 0;
  lampTime = 0;
  lampTimeEnded = 0;
  readonly endings = new Map<Verdict, number>();

  take(event: RunEvent): void {
    if (event.event === 'run-started') {
      this.claims = event.record.specs.filter(isMeant).length;
      this.conditions = event.conditions;
      this.lampTime = event.lampTime;
    } else if (event.event === 'condition-ended') {
      this.conditionsEnded++;
      this.lampTimeEnded += event.condition.duration;
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
    progress.take(event);
    if (event.event === 'run-started') this.#line(openingText(event));
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
  #started = 0;
  #drawn = Number.NEGATIVE_INFINITY;
  #running = '';
  #ticking: NodeJS.Timeout | undefined;

  constructor(io: Io, now: () => number) {
    this.#io = io;
    this.#now = now;
  }

  tell(event: RunEvent): void {
    this.#progress.take(event);
    if (event.event === 'run-started') this.#start(event);
    if (event.event === 'condition-started') this.#running = event.spec;
    if (event.event === 'spec-ended' && standsOpen(event.spec)) {
      this.#lasting(claimText(event.spec), event.spec.verdict);
    }
    const lasting = lastingText(event);
    if (lasting) this.#lasting(lasting);
    if (event.event === 'run-ended') this.#end();
    else if (this.#now() - this.#drawn >= redrawEvery) this.#draw();
  }

  #start(event: Extract<RunEvent, { event: 'run-started' }>): void {
    this.#started = this.#now();
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
    const text = plainLine(statusText(this.#progress, this.#drawn - this.#started, this.#running));
    // A line longer than the terminal would wrap, and then could not be written over.
    const fits = [...text].slice(0, Math.max(20, this.#io.columns - 1)).join('');
    this.#io.stderr(`${clearLine}${fits}`);
  }
}

/** Back to the start of the line, and wipe it. */
const clearLine = '\r\u001b[2K';

function statusText(progress: Progress, elapsed: number, running: string): string {
  const { conditions, conditionsEnded, endings } = progress;
  const counts = [...endings]
    .map(([verdict, count]) => `${verdictMark[verdict]} ${count}`)
    .join(' ');
  const parts = [`${conditionsEnded} of ${conditions} conditions`, timeLeft(progress, elapsed)];
  return [...parts, counts, running].filter(Boolean).join(', ');
}

/** By the share of lamp time that is done: conditions differ in length far more than in speed. */
function timeLeft({ lampTime, lampTimeEnded }: Progress, elapsed: number): string {
  const share = lampTime > 0 ? lampTimeEnded / lampTime : 0;
  if (share < 0.02 || elapsed < 0.5) return '';
  const left = Math.max(0, elapsed / Math.min(1, share) - elapsed);
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
