import type { RunRecord, SpecRecord } from '../../record/run-record.ts';

export interface Wanted {
  readonly verdicts: ReadonlySet<string>;
  readonly words: readonly string[];
  readonly tag: string;
  readonly requirement: string;
  readonly channel: string;
}

/** Says for each claim whether it is wanted. Every word must be found somewhere in the claim or its findings. */
export function claimFilter(record: RunRecord): (spec: SpecRecord, wanted: Wanted) => boolean {
  const texts = new Map<SpecRecord, string>();
  const channels = new Map(
    record.specs.map((spec) => [
      spec,
      new Set(spec.conditions.flatMap((c) => c.findings.map(({ of }) => of))),
    ]),
  );
  const textOf = (spec: SpecRecord): string => {
    const known = texts.get(spec) ?? searchText(spec);
    texts.set(spec, known);
    return known;
  };
  return (spec, { verdicts, words, tag, requirement, channel }) =>
    (verdicts.size === 0 || verdicts.has(spec.verdict)) &&
    (!tag || spec.tags.includes(tag)) &&
    (!requirement || spec.traces.includes(requirement)) &&
    (!channel || (channels.get(spec)?.has(channel) ?? false)) &&
    words.every((word) => textOf(spec).includes(word));
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
