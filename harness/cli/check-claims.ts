import pc from 'picocolors';
import type { Lamp } from '../bench/lamp.ts';
import type { Rig } from '../bench/rig.ts';
import { estimatedDuration } from '../spec/estimated-duration.ts';
import type { Plan } from '../spec/plan.ts';
import { unmetNeed } from '../spec/unmet-need.ts';
import type { Io } from './io.ts';

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
  /** Why it will not be run on this lamp. */
  readonly notRun: string | null;
}

export function claimReport(plan: Plan, lamp: Lamp | null, _rig: Rig | null): ClaimReport {
  const { spec, claim, file, folder, tags, traces, repeat } = plan;
  const conditions = plan.conditions.map((condition) => ({
    key: condition.key,
    lampTime: estimatedDuration(condition),
  }));
  const notRun = lamp ? unmetNeed(plan.needs, lamp) : null;
  const once = conditions.reduce((sum, { lampTime }) => sum + lampTime, 0);
  const lampTime = notRun === null ? once * repeat : 0;
  return { spec, claim, file, folder, tags, traces, repeat, conditions, lampTime, notRun };
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
      const text = claim.notRun === null ? claim.claim : `not run: ${claim.notRun}`;
      lines.push(`${head}${paint.dim(shorten(text, Math.max(20, columns - head.length)))}`);
    }
  }
  const conditions = claims.reduce((sum, claim) => sum + claim.conditions.length, 0);
  const claimed = `${claims.length} claim${claims.length === 1 ? '' : 's'}`;
  const pointed = `${conditions} condition${conditions === 1 ? '' : 's'}`;
  lines.push('', `${claimed}, ${pointed}, ${time(lampTime).trim()} of lamp time`, '');
  return lines.join('\n');
}

function count({ conditions, repeat }: ClaimReport): string {
  const times = repeat > 1 ? ` x ${repeat}` : '';
  return `${String(conditions.length).padStart(3)}${times}`.padEnd(8);
}

/** Lamp time for people. */
export function time(seconds: number): string {
  if (seconds < 100) return `${seconds.toFixed(1)} s`.padStart(8);
  if (seconds < 6000) return `${(seconds / 60).toFixed(1)} min`.padStart(8);
  return `${(seconds / 3600).toFixed(1)} h`.padStart(8);
}

function shorten(text: string, width: number): string {
  return text.length > width ? `${text.slice(0, width - 1)}…` : text;
}
