import { describe, expect, test } from 'vitest';
import { diagnose } from '../../harness/diagnose/diagnose.ts';
import type { Finding, RunRecord } from '../../harness/record/run-record.ts';
import { renderJunit } from '../../harness/report/exchange/junit.ts';
import { renderReleaseReport } from '../../harness/report/pages/release/release-report.ts';
import { renderMarkdown } from '../../harness/report/text/markdown.ts';
import { renderSummary } from '../../harness/report/text/summary.ts';
import { explanationText } from '../../harness/report/words/diagnosis-words.ts';
import { condition } from '../report/sample-record/condition.ts';
import { finding } from '../report/sample-record/finding.ts';
import { recordOf } from '../report/sample-record/record-of.ts';
import { spec } from '../report/sample-record/spec.ts';

const channels = ['warm', 'cool', 'red', 'lime', 'cyan', 'indigo'];

function fade(of: string, target: number, value: number): Finding {
  const [lower, upper] = [0.95 * target, 1.05 * target];
  return finding({
    metric: 'fade-duration',
    title: 'Fade duration',
    of,
    unit: 's',
    shown: 's',
    value,
    expanded: 0.001,
    lower,
    upper,
    target,
    text: `${target} s ± 5 %`,
    verdict: value < lower || value > upper ? 'fail' : 'pass',
  });
}

function atMost(metric: string, of: string, value: number, notes = {}): Finding {
  return finding({
    metric,
    title: metric,
    of,
    unit: '1',
    shown: '%',
    value,
    expanded: 0.001,
    upper: 0.03,
    text: 'at most 3 %',
    verdict: value > 0.03 ? 'fail' : 'pass',
    notes,
  });
}

/** Fades of all channels over three times; `took` says how long each lasts. */
function fades(took: (channel: string, over: number) => number): RunRecord {
  const conditions = [0.7, 2, 8].map((over) =>
    condition(
      { 'fade-time': `${over} s` },
      channels.map((of) => fade(of, over, took(of, over))),
    ),
  );
  return recordOf([spec('fading', 'on-time', 'Fades are on time.', conditions)]);
}

function rows(record: RunRecord): string[] {
  return (diagnose(record)?.explanations ?? []).map(
    (explanation) => `${explanation.findings.length}: ${explanationText(explanation)}`,
  );
}

describe('what failures have in common', () => {
  test('a healthy run has nothing to explain', () => {
    expect(diagnose(fades((_, over) => over))).toBeNull();
  });

  test('all fades by one factor are the time base', () => {
    expect(rows(fades((_, over) => 0.926 * over))).toEqual([
      '18: Every fade takes 0.926 of the time that was commanded (18 of 18, ± 0 %): the time base',
    ]);
  });

  test('fades that run straight in light are one cause, with the steps that are seen in them', () => {
    const note = (of: string) => `30 % of the way of ${of} takes 0.6 s; it runs straight in light`;
    const bent = (of: string, metric: string): Finding => ({
      ...fade(of, 2, 1),
      metric,
      outcome: { measured: false, reason: 'not-a-straight-fade', note: note(of) },
    });
    const condition1 = condition({}, [
      ...channels.map((of) => bent(of, 'fade-duration')),
      ...channels.map((of) =>
        of === 'lime' ? bent(of, 'fade-overshoot') : atMost('fade-overshoot', of, 0.01),
      ),
      ...channels.map((of) => atMost('curve-deviation', of, 0.5)),
      ...channels.map((of) => atMost('largest-visible-step', of, 0.5)),
    ]);
    const record = recordOf([spec('fading', 'on-time', 'Fades are on time.', [condition1])]);
    expect(rows(record)).toEqual([
      '19: The light does not go along the dimming curve (it runs straight in light): Fade duration (6), curve-deviation (6), largest-visible-step (6), 1 more metric',
    ]);
  });

  test('steps in fades that leave their curve but end on time are not laid to it', () => {
    const stepped = condition({}, [
      ...channels.map((of) => atMost('curve-deviation', of, 0.5)),
      ...channels.map((of) => atMost('largest-visible-step', of, 0.5)),
    ]);
    const record = recordOf([spec('fading', 'in-steps', 'Fades have no steps.', [stepped])]);
    expect(rows(record)).toEqual([
      '12: Curve-deviation (6), largest-visible-step (6): all 12 fail, in in-steps',
    ]);
  });

  test('a factor counts fades that pass as well', () => {
    // The longest times have a tolerance wide enough for the same factor.
    const record = fades((_, over) => 0.94 * over);
    const [last] = record.specs[0]?.conditions.slice(-1) ?? [];
    for (const one of last?.findings ?? []) one.verdict = 'pass';
    expect(rows(record)).toEqual([
      '12: Every fade takes 0.94 of the time that was commanded (18 of 18, ± 0 %): the time base',
    ]);
  });

  test('all fades too long by the same time are an offset and no factor', () => {
    expect(rows(fades((_, over) => over + 0.5))).toEqual([
      '18: Fade duration is 0.5 s more than what was asked for (18 of 18, ± 0 s): a common offset',
    ]);
  });

  test('one channel is told from the others, which pass', () => {
    expect(rows(fades((of, over) => (of === 'lime' ? 1.2 : 1) * over))).toEqual([
      '3: Every fade takes 1.2 of the time that was commanded (3 of 3, ± 0 %): a common factor, only of the channel lime (3 of 3 fail there, all 15 others pass)',
    ]);
  });

  test('one range of a condition is told from the rest', () => {
    expect(
      rows(fades((of, over) => (over < 1 ? over + 0.1 + 0.04 * channels.indexOf(of) : over))),
    ).toEqual([
      '6: Fade duration (6), only where fade-time is at most 0.7 s (6 of 6 fail there, all 12 others pass)',
    ]);
  });

  test('without passes elsewhere there is no place to name', () => {
    const [text = ''] = rows(fades((of, over) => over * (1.1 + 0.1 * channels.indexOf(of))));
    expect(text).toBe('18: Fade duration (18): all 18 fail, in on-time');
  });

  test('metrics that fail in the same place are one row', () => {
    const conditions = ['44 V', '48 V', '52 V'].map((supply) =>
      condition(
        { supply },
        channels.flatMap((of) => [
          atMost('level-noise', of, supply === '44 V' ? 0.05 : 0.01),
          atMost('level-drift', of, supply === '44 V' ? 0.07 : 0.02),
        ]),
      ),
    );
    const record = recordOf([spec('dimming', 'steady', 'Levels are steady.', conditions)]);
    expect(rows(record)).toEqual([
      '12: Level-noise (6), level-drift (6), only where supply is at most 44 V (12 of 12 fail there, all 24 others pass)',
    ]);
  });

  test('one frequency in all that fails is said', () => {
    const conditions = ['1 %', '10 %', '100 %'].map((level, k) =>
      condition({ level }, [
        atMost('low-risk', 'light', 0.2 + 0.3 * k, { 'worst-frequency': 100 + 0.1 * k }),
        atMost('no-effect', 'light', 0.3 + 0.1 * k, { 'worst-frequency': 100 }),
      ]),
    );
    const record = recordOf([spec('flicker', 'quiet', 'The light is quiet.', conditions)]);
    expect(rows(record)).toEqual([
      '6: The light changes at 100 Hz (3 findings agree, ± 0.1 %): low-risk (3), no-effect (3)',
    ]);
  });

  test('what a frequency in the light spoils follows from it, the mean of a level does not', () => {
    const conditions = ['1 %', '10 %', '100 %'].map((level) =>
      condition({ level }, [
        atMost('ieee1789-low-risk', 'light', 0.3, { 'worst-frequency': 100 }),
        atMost('level-noise', 'light', 0.2),
      ]),
    );
    const other = condition({}, [atMost('level-ratio', 'light', 0.2)]);
    const record = recordOf([
      spec('flicker', 'quiet', 'The light is quiet.', conditions),
      spec('dimming', 'level', 'The level is right.', [other]),
    ]);
    expect(rows(record)).toEqual([
      '6: The light changes at 100 Hz (3 findings agree, ± 0 %): ieee1789-low-risk (3). What may follow from it: level-noise (3)',
      '1: Level-ratio of light: 20.00 ± 0.10 %, allowed at most 3 %',
    ]);
  });

  test('two figures of one record do not agree on a frequency', () => {
    const one = condition({}, [
      atMost('low-risk', 'light', 0.3, { 'worst-frequency': 2.52 }),
      atMost('low-risk', 'light', 0.4, { 'worst-frequency': 2.52 }),
    ]);
    const record = recordOf([spec('flicker', 'quiet', 'The light is quiet.', [one])]);
    expect(rows(record)).toEqual(['2: Low-risk (2): all 2 fail, in quiet']);
  });

  test('different frequencies are not one', () => {
    const conditions = ['1 %', '10 %', '100 %'].map((level, k) =>
      condition({ level }, [
        atMost('low-risk', 'light', 0.2, { 'worst-frequency': 100 * (k + 1) }),
      ]),
    );
    const record = recordOf([spec('flicker', 'quiet', 'The light is quiet.', conditions)]);
    expect(rows(record)).toEqual(['3: Low-risk (3): all 3 fail, in quiet']);
  });

  test('what fails where a bent level is passed follows from it, and nothing else does', () => {
    const steady = (of: string, level: number): Finding => {
      const measured = Math.max(level, 0.02);
      const value = measured / level - 1;
      return {
        ...atMost('level-error', of, value, { 'level-ratio': measured, 'commanded-ratio': level }),
        limits: { lower: -0.1, upper: 0.1, target: null, text: '± 10 %' },
      };
    };
    const told = (from: number, to: number) =>
      channels.map((channel) => ({
        channel,
        segments: [[0, 2, from, to]] as [number, number, number, number][],
      }));
    const levels = [1, 0.1, 0.01, 0.003].map((level) => ({
      ...condition(
        { level: `${100 * level} %` },
        channels.map((of) => steady(of, level)),
      ),
      commanded: told(level, level),
    }));
    const steps = [
      { from: 1, to: 0.001 },
      { from: 1, to: 0.5 },
    ].map(({ from, to }) => ({
      ...condition(
        { to: `${to}` },
        channels.map((of) => atMost('largest-visible-step', of, 0.5)),
      ),
      commanded: told(from, to),
    }));
    const record = recordOf([
      spec('dimming', 'levels', 'Levels follow the curve.', levels),
      spec('fading', 'steps', 'No step is seen.', steps),
    ]);
    expect(rows(record)).toEqual([
      '18: The light stays at 2 % wherever less is commanded: a floor. What may follow from it: largest-visible-step (6)',
      '6: Largest-visible-step (6): all 6 fail, in steps',
    ]);
  });

  test('light that leaks where dark is commanded follows from an offset of all levels', () => {
    const levels = [0.1, 0.01, 0.003].map((level) =>
      condition(
        { level: `${100 * level} %` },
        channels.map((of) => {
          const notes = { 'level-ratio': level + 0.001, 'commanded-ratio': level };
          return { ...atMost('level-error', of, 0.001 / level, notes) };
        }),
      ),
    );
    const dark = {
      ...condition({}, [atMost('level-ratio', 'warm', 0.05)]),
      commanded: [
        { channel: 'warm', segments: [[0, 2, 0, 0]] as [number, number, number, number][] },
      ],
    };
    const record = recordOf([
      spec('dimming', 'levels', 'Levels follow the curve.', levels),
      spec('dimming', 'off', 'Off is dark.', [dark]),
    ]);
    expect(rows(record)).toEqual([
      '13: The light is 0.1 % of full more than what is commanded: a common offset. What may follow from it: level-ratio (1)',
    ]);
  });

  test('a factor of some claims is said of those, and of fades whose end is not seen as well', () => {
    const over = (claim: string, times: readonly number[], factor: number) =>
      spec(
        'fading',
        claim,
        'Fades are on time.',
        times.map((time) => {
          const own = fade('warm', time, factor * time);
          const late: Finding['outcome'] = { measured: false, reason: 'no-plateau' };
          return condition({ 'fade-time': `${time} s` }, [
            time < 9 ? own : { ...own, outcome: late, verdict: 'fail' },
          ]);
        }),
      );
    const record = recordOf([
      over('console-times', [0.7, 2, 8], 1),
      over('dali-times', [0.7, 2, 8], 1.41),
      over('dali-longest', [1, 16], 1.41),
    ]);
    expect(rows(record)).toEqual([
      '5: Every fade takes 1.41 of the time that was commanded (4 of 4, ± 0 %): a common factor, in dali-times and dali-longest',
    ]);
  });

  test('no fade follows from a factor of anything but time', () => {
    const ramp = channels.map((channel) => ({
      channel,
      segments: [[0, 2, 1, 0.001]] as [number, number, number, number][],
    }));
    const currents = [1, 2, 4].map((target) =>
      condition({ target: `${target}` }, [
        { ...fade('warm', target, 0.7 * target), metric: 'mean-current', title: 'Mean current' },
      ]),
    );
    const stepped = {
      ...condition({}, [atMost('largest-visible-step', 'warm', 0.5)]),
      commanded: ramp,
    };
    const record = recordOf([
      spec('current', 'currents', 'Currents are right.', currents),
      spec('fading', 'steps', 'No step is seen.', [stepped]),
    ]);
    expect(rows(record)).toHaveLength(2);
  });

  test('what fails now and then, but over one link alone, is of that link', () => {
    const claims = Array.from({ length: 8 }, (_, k) => {
      const link = k < 4 ? 'dmx' : 'console';
      const conditions = ['1 %', '10 %'].map((level, n) => ({
        ...condition({ level }, [
          atMost('level-drift', 'light', link === 'dmx' && n === 0 ? 0.2 : 0.01),
        ]),
        commands: [{ at: 0, link, verb: 'set', text: 'level', reply: null }],
      }));
      return spec('dimming', `claim-${k}`, 'Levels are steady.', conditions);
    });
    expect(rows(recordOf(claims))).toEqual([
      '4: Level-drift (4), only over dmx (4 of 8 fail there, all 8 others pass)',
    ]);
  });

  test('what the bench could not decide is no evidence', () => {
    const record = fades((_, over) => 0.926 * over);
    for (const { findings } of record.specs[0]?.conditions ?? [])
      for (const one of findings.slice(1)) one.verdict = 'error';
    expect(rows(record)).toEqual([
      '3: Every fade takes 0.926 of the time that was commanded (3 of 3, ± 0 %): the time base',
    ]);
  });

  test('each failing finding stands in one row and no other', () => {
    const record = fades((of, over) => (of === 'lime' || over === 8 ? 1.2 : 1) * over);
    const diagnosis = diagnose(record);
    const named = diagnosis?.explanations.flatMap(({ findings }) =>
      findings.map((one) => one.finding),
    );
    expect(named?.length).toBe(8);
    expect(new Set(named).size).toBe(8);
    expect(diagnosis?.failing).toBe(8);
  });
});

describe('where the rows are shown', () => {
  const record = fades((_, over) => 0.926 * over);
  const sentence =
    'Every fade takes 0.926 of the time that was commanded (18 of 18, ± 0 %): the time base';

  test('on a terminal, before the claims, of which only the worst finding is left', () => {
    const text = renderSummary(record, { colour: false, columns: 110 });
    expect(text).toContain('18 findings fail; what they have in common makes 1 row:');
    expect(text).toContain(`  18  ${sentence}.`);
    expect(text).toContain('and 17 more findings like it');
  });

  test('in a job summary', () => {
    expect(renderMarkdown(record)).toContain(
      '- 18 × Every fade takes 0.926 of the time that was commanded',
    );
  });

  test('in the output of every failing case of JUnit, and of no other', () => {
    const xml = renderJunit(
      fades((of, over) => (of === 'red' ? 1.2 : 1) * over),
      'strict',
    );
    expect(xml.match(/in common with 3 findings: Every fade takes 1\.2/g)).toHaveLength(3);
  });

  test('in the report for a release', () => {
    const source = {
      record,
      contentHash: null,
      issuedAt: '2026-11-25T00:00:00Z',
      signatures: [],
      doubts: [],
    };
    const report = renderReleaseReport(source);
    expect(report).toContain('<h2>Diagnosis</h2>');
    expect(report).toContain(`<td>${sentence}.</td>`);
    expect(renderReleaseReport({ ...source, record: fades((_, over) => over) })).not.toContain(
      'Diagnosis',
    );
  });
});
