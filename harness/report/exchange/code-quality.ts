import { plainText } from '../../files/plain-text.ts';
import { benchBrokenText } from '../../record/bench-after.ts';
import { isHeldBack } from '../../record/quarantine.ts';
import type { RunRecord, SpecRecord } from '../../record/run-record.ts';
import { claimSentence } from '../words/finding-words.ts';
import { quarantineText } from '../words/quarantine-words.ts';
import { claimsWorstFirst, decidingFinding } from '../words/worst-first.ts';

/** What a bench could not decide is no defect of the lamp, and never as severe as one. */
const severities = { fail: 'critical', error: 'major', inconclusive: 'minor' } as const;

/**
 * Claims that did not pass as a code quality report, which forges show beside the lines of a merge request: `fail`, `error` and
 * `inconclusive`, each at the line of the spec file that asks for what decided it; line 1 where none is known. The format is the JSON
 * subset of the Code Climate specification that forges read (from memory). `warning` is one entry more, before all,
 * and so is a bench that was not good after the last claim.
 */
export function renderCodeQuality(record: RunRecord, warning: string | null = null): string {
  const entries = claimsWorstFirst(record).flatMap(entryOf);
  const altered = warning === null ? [] : [warningEntry('seal', warning)];
  const broken = benchBrokenText(record);
  const bench = broken === null ? [] : [warningEntry('bench', broken)];
  return `${JSON.stringify([...altered, ...bench, ...entries], null, 2)}\n`;
}

function entryOf(spec: SpecRecord): object[] {
  const { verdict } = spec;
  if (verdict !== 'fail' && verdict !== 'error' && verdict !== 'inconclusive') return [];
  const words = [`${verdict}:`, spec.claim, claimSentence(spec), quarantineText(spec)]
    .filter(Boolean)
    .join(' ');
  return [
    {
      description: plainText(words),
      check_name: spec.spec,
      fingerprint: `evenfall ${spec.spec}`,
      severity: isHeldBack(spec) ? 'info' : severities[verdict],
      location: {
        path: plainText(spec.file),
        lines: { begin: decidingFinding(spec)?.finding.line ?? 1 },
      },
    },
  ];
}

function warningEntry(name: 'seal' | 'bench', warning: string): object {
  return {
    description: plainText(warning),
    check_name: name,
    fingerprint: `evenfall ${name}`,
    severity: 'blocker',
    location: { path: 'run.json', lines: { begin: 1 } },
  };
}
