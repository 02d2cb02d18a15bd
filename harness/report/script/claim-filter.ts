import type { RunRecord, SpecRecord } from '../../record/run-record.ts';

export interface Wanted {
  readonly verdicts: ReadonlySet<string>;
  readonly words: readonly string[];
  readonly tag: string;
  readonly requirement: string;
  readonly channel: string;
}

/** Says for each claim whether it is wanted. Every word must be found somewhere in the claim or its findings. */
export function claimFilter(record: RunRecord): (claim: number, wanted: Wanted) => boolean {
  const texts = new Map<number, string>();
  const channels = record.specs.map(
    (spec) => new Set(spec.conditions.flatMap((c) => c.findings.map(({ of }) => of))),
  );
  const textOf = (claim: number): string => {
    const known = texts.get(claim) ?? searchText(record.specs[claim]!);
    texts.set(claim, known);
    return known;
  };
  return (claim, { verdicts, words, tag, requirement, channel }) => {
    const spec = record.specs[claim]!;
    return (
      (verdicts.size === 0 || verdicts.has(spec.verdict)) &&
      (!tag || spec.tags.includes(tag)) &&
      (!requirement || spec.traces.includes(requirement)) &&
      (!channel || channels[claim]!.has(channel)) &&
      words.every((word) => textOf(claim).includes(word))
    );
  };
}

function searchText(spec: SpecRecord): string {
  const parts = [spec.claim, spec.spec, spec.folder, spec.file, ...spec.traces, ...spec.tags];
  parts.push(spec.verdict, spec.reason ?? '');
  for (const { key, reason, findings } of spec.conditions) {
    parts.push(key, reason ?? '');
    for (const finding of findings)
      parts.push(finding.metric, finding.title, finding.of, finding.reason ?? '', finding.source);
  }
  return [...new Set(parts)].join('\n').toLowerCase();
}
