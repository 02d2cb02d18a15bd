import pc from 'picocolors';
import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import { planCaptures } from '../../plan/captures/plan-captures.ts';
import type { Condition, Plan } from '../../plan/plan.ts';
import { noEvidence } from '../../plan/reach/no-evidence.ts';
import { stimulusTotals } from '../../plan/stimulus-totals.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import type { Doubt } from '../../preflight/doubt.ts';
import { preflight } from '../../preflight/preflight.ts';
import { checkSteadyWindows } from '../../preflight/steady-window.ts';
import { conditionWords } from '../../record/condition-words.ts';
import { counted } from '../../report/words/prose.ts';
import type { Io } from '../common/io.ts';

/** One claim as `check` lists it. */
export interface ClaimReport {
  readonly spec: string;
  readonly claim: string;
  readonly file: string;
  readonly folder: string;
  readonly tags: readonly string[];
  readonly traces: readonly string[];
  readonly repeat: number;
  readonly conditions: readonly { readonly key: string; readonly lampTime: number }[];
  /** Lamp time with all repeats, s. */
  readonly lampTime: number;
  /** Why this lamp cannot have it. */
  readonly notApplicable: string | null;
  /** Conditions that would prove nothing of this lamp, and why; they are not run. */
  readonly noEvidence: readonly { readonly key: string; readonly reason: string }[];
  /** Windows in which the light is commanded to change, of criteria that read one steady level. */
  readonly unsteady: readonly Doubt[];
  /** What the rig cannot do for it; null where no rig was named. */
  readonly doubts: readonly Doubt[] | null;
}

/** The rig that claims are held against, and the local date (YYYY-MM-DD). */
export interface Against {
  readonly rig: Rig;
  readonly today: string;
}

export function claimReport(plan: Plan, lamp: Lamp, against: Against | null): ClaimReport {
  const { spec, claim, file, folder, tags, traces, repeat } = plan;
  const conditions = plan.conditions.map((condition) => ({
    key: condition.key,
    lampTime:
      stimulusTotals(condition.stimulus, lamp).seconds * passesOf(condition, lamp, against?.rig),
  }));
  const notApplicable = unmetNeed(plan.needs, lamp);
  const once = conditions.reduce((sum, { lampTime }) => sum + lampTime, 0);
  const lampTime = notApplicable === null ? once * repeat : 0;
  const doubts = against && preflight(plan, against.rig, lamp, against.today);
  return {
    ...{ spec, claim, file, folder, tags, traces, repeat, conditions, lampTime, notApplicable },
    noEvidence: notApplicable === null ? emptyConditions(plan, lamp, against?.rig ?? null) : [],
    unsteady: checkSteadyWindows(plan, lamp),
    doubts,
  };
}

function emptyConditions(
  { conditions }: Plan,
  lamp: Lamp,
  rig: Rig | null,
): ClaimReport['noEvidence'] {
  return conditions.flatMap((condition) => {
    const reason = noEvidence(condition, lamp, rig);
    return reason === null ? [] : [{ key: condition.key, reason }];
  });
}

/** How often the stimulus is gone through on a rig that cannot see every channel at once. */
function passesOf(condition: Condition, lamp: Lamp, rig: Rig | undefined): number {
  return rig ? planCaptures(condition, { lamp, rig }).passes.length : 1;
}

/** Claims grouped by folder, one line each, and what a run of them comes to. */
export function renderClaims(
  claims: readonly ClaimReport[],
  lampTime: number,
  { colour, columns }: Pick<Io, 'colour' | 'columns'>,
): string {
  const paint = pc.createColors(colour);
  const idWidth = Math.min(44, Math.max(...claims.map(({ spec }) => spec.length)));
  const lines: string[] = [];
  for (const folder of [...new Set(claims.map((claim) => claim.folder))]) {
    lines.push(paint.bold(folder));
    for (const claim of claims.filter((own) => own.folder === folder)) {
      const head = `  ${claim.spec.padEnd(idWidth)} ${count(claim)} ${time(claim.lampTime)}  `;
      const text =
        claim.notApplicable === null ? claim.claim : `not applicable: ${claim.notApplicable}`;
      lines.push(`${head}${paint.dim(shorten(text, Math.max(20, columns - head.length)))}`);
      for (const { key, reason } of claim.noEvidence)
        lines.push(
          `      ${paint.red('cannot be proved')}: ${key && `with ${conditionWords(key)}: `}${reason}`,
        );
      for (const { severity, metric, line, message } of [
        ...claim.unsteady,
        ...(claim.doubts ?? []),
      ]) {
        const word =
          severity === 'refuse' ? paint.red('cannot be proved') : paint.yellow('doubtful');
        const what = metric === null ? '' : ` ${metric}${line === null ? '' : ` (line ${line})`}:`;
        lines.push(`      ${word}:${what} ${message}`);
      }
    }
  }
  lines.push('', `${countsText(claims)}, ${time(lampTime).trim()} of lamp time`, '');
  if (claims.some(({ doubts }) => doubts !== null)) lines.splice(-1, 0, rigLine(claims));
  return lines.join('\n');
}

/** What a run would come to: the claims that the lamp can have, and their conditions, each repeat counted. */
function countsText(claims: readonly ClaimReport[]): string {
  const meant = claims.filter(({ notApplicable }) => notApplicable === null);
  const beside = claims.length - meant.length;
  const more = beside === 0 ? '' : ` (${beside} more not applicable)`;
  const conditions = meant.reduce((sum, own) => sum + own.conditions.length * own.repeat, 0);
  return `${counted(meant.length, 'claim')}${more}, ${counted(conditions, 'condition')}`;
}

/** How many of the claims the rig can prove. */
function rigLine(all: readonly ClaimReport[]): string {
  const claims = all.filter(({ notApplicable }) => notApplicable === null);
  const refused = claims.filter(isRefused).length;
  const doubtful = claims.filter(
    (claim) => !isRefused(claim) && claim.unsteady.length + (claim.doubts?.length ?? 0) > 0,
  ).length;
  const sound = claims.length - refused - doubtful;
  return `on this rig: ${sound} can be proved, ${doubtful} with doubts, ${refused} cannot`;
}

export function isRefused({ doubts, noEvidence }: ClaimReport): boolean {
  return noEvidence.length > 0 || (doubts?.some(({ severity }) => severity === 'refuse') ?? false);
}

function count({ conditions, repeat }: ClaimReport): string {
  const times = repeat > 1 ? ` x ${repeat}` : '';
  return `${String(conditions.length).padStart(3)}${times}`.padEnd(8);
}

/** Lamp time for people. */
function time(seconds: number): string {
  if (seconds < 100) return `${seconds.toFixed(1)} s`.padStart(8);
  if (seconds < 6000) return `${(seconds / 60).toFixed(1)} min`.padStart(8);
  return `${(seconds / 3600).toFixed(1)} h`.padStart(8);
}

function shorten(text: string, width: number): string {
  return text.length > width ? `${text.slice(0, width - 1)}…` : text;
}
