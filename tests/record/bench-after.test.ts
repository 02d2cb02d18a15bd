import { basename, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { policyOf, policySchema } from '../../harness/archive/policy-file.ts';
import { refusedRun } from '../../harness/archive/run-decision.ts';
import { signRun } from '../../harness/archive/sign-run.ts';
import { exitCodeOfRun } from '../../harness/cli/common/exit-codes.ts';
import { benchBrokenText, notChecked, verdictWithBench } from '../../harness/record/bench-after.ts';
import { contradictionsOf } from '../../harness/record/contradictions.ts';
import { parseRunRecord } from '../../harness/record/parse-run-record.ts';
import type { BenchAfter } from '../../harness/record/rig-record.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { traceOfRun } from '../../harness/record/traced.ts';
import { renderCodeQuality } from '../../harness/report/exchange/code-quality.ts';
import { renderJunit } from '../../harness/report/exchange/junit.ts';
import { renderRunMetrics } from '../../harness/report/exchange/run-metrics.ts';
import { renderPage } from '../../harness/report/pages/run/run-page.ts';
import { renderAnnotations } from '../../harness/report/text/annotations.ts';
import { renderMarkdown } from '../../harness/report/text/markdown.ts';
import { renderQuietSummary, renderSummary } from '../../harness/report/text/summary.ts';
import { comparedRun, runLegend } from '../../harness/report/words/compare-words.ts';
import { mergeRuns } from '../../harness/workflow/merging/merge-runs.ts';
import { newsOfRun } from '../../harness/workflow/news/news.ts';
import { newsSubject, newsText } from '../../harness/workflow/news/news-text.ts';
import { policyFile } from '../archive/release-policy.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { newPerson, sealedRun } from '../archive/signed-run.ts';
import { sampleCondition, sampleRecord, sampleSpec } from './sample-record.ts';

const scratch = scratchFolders();

const good: BenchAfter = {
  state: 'good',
  at: '2026-03-04T05:06:15Z',
  why: null,
  checks: [{ check: 'dark', result: 'good', text: '1 mlx with everything off' }],
};
const broken: BenchAfter = {
  ...good,
  state: 'broken',
  checks: [...good.checks, { check: 'drift', result: 'broken', text: '3 % from before' }],
};
const failed = notChecked('failed', 'digitiser: no answer within 5 s');

/** The sample run on a bench that was looked at like this. */
function lookedAt(after: BenchAfter, over: Partial<RunRecord> = {}): RunRecord {
  const plain = sampleRecord(over);
  const record = { ...plain, rig: { ...plain.rig, after } };
  return { ...record, verdict: verdictWithBench(record.verdict, record) };
}

const io = { interrupted: new AbortController().signal };

describe('a bench that was not good after the last claim', () => {
  it.each([
    ['good', good, 'pass', 0],
    ['not looked at', notChecked('not checked', 'SIGINT'), 'pass', 0],
    ['not good', broken, 'error', 3],
    ['an instrument that failed', failed, 'error', 3],
  ] as const)('decides the verdict of the run and the exit code: %s', (_, look, verdict, code) => {
    const record = lookedAt(look);
    expect(record.verdict).toBe(verdict);
    expect(exitCodeOfRun(record, io)).toBe(code);
    expect(newsOfRun(record, null).verdict).toBe(verdict);
    expect(renderRunMetrics(record)).toContain(`evenfall_run_verdict="${verdict}"} 1`);
    expect(contradictionsOf(record)).toEqual([]);
    expect(parseRunRecord(JSON.parse(JSON.stringify(record))).ok).toBe(true);
  });

  it('is said by every report, before any figure', () => {
    const record = lookedAt(broken);
    const sentence =
      /after the last claim the bench simulated was not good: drift: 3 %(25)? from before.*is not proved/i;
    const look = { colour: false, columns: 110 };
    const reports = [
      renderSummary(record, look),
      renderQuietSummary(record, look, null),
      renderMarkdown(record),
      renderAnnotations(record),
      renderCodeQuality(record),
      renderJunit(record, 'strict'),
      renderPage({ record, traces: [] }),
      newsText(newsOfRun(record, null)),
    ];
    for (const report of reports) expect(report.replaceAll(/\s+/g, ' ')).toMatch(sentence);
    expect(renderPage({ record, traces: [] })).toContain('Not proved. As measured: ');
    expect(renderQuietSummary(record, look, null)).toMatch(/1 claim: .* 1 pass; not proved/);
    expect(newsSubject(newsOfRun(record, null))).toMatch(/^error: .*the bench was not good after/);
    expect(runLegend(comparedRun(record))).toMatch(/error \(its bench was not good/);
    expect(renderPage({ record: lookedAt(good), traces: [] })).toMatch(
      /simulated, checked on .*: good/,
    );
  });

  it('is a case of its own in JUnit: passed, an error, or skipped with the reason', () => {
    const cases = (look: BenchAfter) =>
      /<testcase[^>]*name="the bench is good after the last claim"[^>]*(\/>|>[\s\S]*?<\/testcase>)/.exec(
        renderJunit(lookedAt(look), 'strict'),
      )?.[1];
    expect(cases(good)).toBe('/>');
    expect(cases(broken)).toMatch(/<error [^>]*type="bench"/);
    expect(cases(notChecked('not checked', 'SIGINT'))).toMatch(/<skipped message="[^"]*SIGINT"/);
    expect(renderJunit(sampleRecord(), 'strict')).not.toContain('the bench is good');
  });

  it('proves no requirement', () => {
    const verdicts = (record: RunRecord) =>
      traceOfRun(record).requirements.map(({ verdict }) => verdict);
    expect(verdicts(lookedAt(good))).toEqual(['pass']);
    expect(verdicts(lookedAt(broken))).toEqual(['error']);
  });

  it('is found where a record keeps quiet about it', () => {
    expect(contradictionsOf({ ...lookedAt(broken), verdict: 'pass' })).toEqual([
      'the run says pass, but its bench was not good after the last claim',
    ]);
    expect(contradictionsOf(lookedAt({ ...broken, state: 'good' }))).toEqual([
      'the bench simulated says it was good after the last claim, but its checks do not',
    ]);
  });

  it('cannot be released, with or without a policy, but held', async () => {
    const record = lookedAt(broken);
    const folder = await sealedRun(await scratch(), { rig: record.rig, verdict: 'error' });
    const mira = newPerson('Mira');
    const decide = (decision: 'release' | 'hold') =>
      signRun(folder, {
        ...{ key: mira.key, name: mira.name, meaning: 'approval', decision, waivers: [] },
        signedAt: '2026-03-05T08:00:00Z',
      });
    await expect(decide('release')).rejects.toThrow(
      /releases a run that nothing proves: .*run again on a bench that is mended/,
    );
    await expect(decide('hold')).resolves.toMatch(/./);

    const file = policySchema.parse(policyFile([{ name: 'Mira', id: mira.id }]));
    const policy = policyOf(file, '');
    const why = refusedRun(policy, record, '2026-03-05T08:00:00Z');
    expect(why.join()).toMatch(/demanded: a bench that is good after the last claim/);
  });

  it('makes the whole of a merged run an error, by the name of the bench', async () => {
    const root = await scratch();
    const specs = ['one', 'two'].map((spec) => sampleSpec(spec, [sampleCondition()]));
    const whole = specs.map(({ spec, digest }) => ({ spec, digest }));
    const folders = await Promise.all(
      specs.map((spec, k) => {
        const selection = { tags: [], paths: ['specs'], shard: { number: k + 1, of: 2, whole } };
        const id = `3fa9c01b77de4a5c0b1${k}`;
        const own = lookedAt(k === 0 ? good : broken, { id, specs: [spec], selection });
        const { rig, verdict, totals } = own;
        const named = { ...rig, name: k === 0 ? 'left' : 'right' };
        return sealedRun(join(root, `${k}`), {
          ...{ id, specs: [spec], selection, rig: named, verdict, totals },
        });
      }),
    );
    const reports = { addCapture: () => {}, render: () => [] };
    const archive = join(root, 'merged');
    const { record, folder } = await mergeRuns(folders, {
      archive,
      reports,
      ...{ signal: io.interrupted },
    });
    expect(basename(folder ?? '')).toMatch(/./);
    expect(record.verdict).toBe('error');
    expect(record.specs.map(({ verdict }) => verdict)).toEqual(['pass', 'pass']);
    expect(record.rig.after).toBeUndefined();
    expect(benchBrokenText(record)).toMatch(/the bench right was not good: drift/);
    expect(benchBrokenText(record)).not.toMatch(/left/);
    expect(exitCodeOfRun(record, io)).toBe(3);
    expect(contradictionsOf(record)).toEqual([]);
  });
});
