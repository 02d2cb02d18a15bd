import { describe, expect, it } from 'vitest';
import { labFront } from '../../../harness/report/pages/lab/lab-front.ts';
import type { LabState } from '../../../harness/report/pages/lab/lab-state.ts';
import { labNews, progressText } from '../../../harness/report/pages/lab/lab-words.ts';
import { submissionPage } from '../../../harness/report/pages/lab/submission-page.ts';
import { sampleLab, sampleRig, sampleShard, sampleSubmission } from '../sample-lab.ts';

const lab = sampleLab();
const hostile = '<img src=x onerror="alert(1)">';

/** As it reads: a bar where an element begins or ends. */
function wordsOf(page: unknown): string {
  return String(page)
    .replace(/<svg.*?<\/svg>/g, '')
    .replace(/<[^>]*>/g, '|')
    .replace(/\|+/g, '|');
}

/** The section of that heading. */
function section(heading: string, state: LabState = lab): string {
  const found = String(labFront(state))
    .split('<section>')
    .find((text) => text.startsWith(`<h2>${heading}</h2>`));
  return wordsOf(found);
}

describe('the front page of a lab', () => {
  it('says how old it is', () => {
    expect(wordsOf(labFront(lab))).toContain('As it was at 19:00:00 UTC on 30 November 2026.');
  });

  it('says of each rig whether it is heard, and what it does', () => {
    const rigs = section('Rigs');
    expect(rigs).toMatch(/… running\|rig 1\|/);
    expect(rigs).toContain(
      '|Runs shard 2 of |Alcove-6, build 1.8.0|: fades-on-time, fade-time=2 s.|',
    );
    expect(rigs).toMatch(/✕ not heard\|rig 2\|[^|]*last heard 30 November 2026, 17:00 UTC/);
    expect(rigs).toMatch(/○ idle\|sim \|simulated\|/);
    const lost = sampleRig('rig 1', {
      isHeard: false,
      now: { submission: 's-9', shard: 1, condition: null },
    });
    expect(section('Rigs', { ...lab, rigs: [lost] })).toContain('|Was running shard 1 of |s-9|.|');
    expect(section('Rigs', { ...lab, rigs: [] })).toContain('No rig has come forward yet.');
  });

  it('names calibrations that somebody has to see to, what is overdue first', () => {
    const rigs = section('Rigs');
    expect(rigs).toContain(
      '|▲ Calibration of supply overdue since 2026-11-01.|Calibration of colour sensor due soon, on 2026-12-15.|',
    );
    expect(rigs).toContain('|Calibration valid until 2027-03-01.|');
  });

  it('says why a rig left what waits, the newest reason open', () => {
    expect(section('Rigs')).toContain(
      '|Did not take what waits: Its lamp is an Alcove-4.|Earlier reasons (1)|It has no colour sensor.|',
    );
  });

  it('has what is under way first, then what waits, the longest first', () => {
    const builds = [...section('Under way and waiting').matchAll(/build ([^|]*)\|/g)];
    expect(builds.map(([, build]) => build)).toEqual(['1.8.0', '1.8.0-rc.1', '1.8.1']);
    expect(section('Under way and waiting')).toContain('tags commit;');
    expect(section('Under way and waiting')).toContain('all claims;');
    expect(section('Under way and waiting', { ...lab, submissions: [] })).toContain(
      'Nothing waits.',
    );
  });

  it('has what ended, newest first: the verdict of the lamp apart from a lab that could not do it', () => {
    const ended = section('Ended');
    expect(ended).toMatch(
      /\|fail\|Alcove-6, build 1\.7\.9\|.*\|Open the run\|.*✕ failed to run\|.*\|Shard 1 failed three times\.\|.*– cancelled\|.*\|Cancelled by Mira\.\|/,
    );
    expect(String(labFront(lab))).toContain('href="/runs/run-3"');
    expect(section('Ended', { ...lab, submissions: [] })).toContain('Nothing has ended yet.');
  });

  it('lists what is submitted by itself', () => {
    expect(section('Schedules')).toContain(
      '|nightly|30 2 * * *| |Europe/Vienna|1 December 2026, 01:30 UTC|not yet|Mira|',
    );
    expect(section('Schedules', { ...lab, schedules: [] })).toContain(
      'Nothing is submitted by itself.',
    );
  });

  it('shows words of strangers as words', () => {
    const submission = sampleSubmission(hostile, {
      ...{
        by: hostile,
        lamp: hostile,
        build: hostile,
        tags: [hostile],
        why: hostile,
        run: hostile,
      },
    });
    const rig = sampleRig(hostile, {
      ...{ lamps: [hostile], place: hostile, declines: [hostile, hostile] },
      now: { submission: hostile, shard: 1, condition: hostile },
    });
    const schedule = {
      name: hostile,
      cron: hostile,
      zone: hostile,
      next: null,
      last: null,
      by: hostile,
      why: hostile,
    };
    const state = { ...lab, submissions: [submission], rigs: [rig], schedules: [schedule] };
    expect(String(labFront(state))).not.toContain('<img');
    expect(String(submissionPage(submission))).not.toContain('<img');
  });
});

describe('how far a submission has come', () => {
  it('is told in conditions, shards and rig time, in which a shard goes on evenly', () => {
    const shards = [
      sampleShard(1, { state: 'ended', done: 40 }),
      sampleShard(2, { state: 'running', done: 30 }),
      sampleShard(3),
    ];
    expect(progressText(shards)).toBe(
      '70 of 120 conditions, 1 of 3 shards ended, 12.5 min of rig time left',
    );
  });

  it('is no rig time and no shards where there is none and one', () => {
    expect(progressText([sampleShard(1, { state: 'ended', done: 40 })])).toBe(
      '40 of 40 conditions',
    );
    expect(progressText([])).toBe('0 of 0 conditions');
  });
});

describe('the page of a submission', () => {
  it('has a row a shard, with its rig, its attempts and what is done', () => {
    const [, , running] = lab.submissions;
    const words = wordsOf(submissionPage(running!));
    expect(words).toContain('|shard |2|… running|rig 1|2|10 of 40|10 min|');
    expect(words).toContain('|shard |3|✕ failed to run|rig 2|3|4 of 40|10 min|');
    expect(words).toContain('|claims|with the tag commit|');
    expect(words).not.toContain('JUnit');
  });

  it('leads to the merged run and to JUnit, once there is a run', () => {
    const page = String(
      submissionPage(sampleSubmission('s/3', { state: 'ended', verdict: 'pass', run: 'run-3' })),
    );
    expect(page).toContain('href="/runs/run-3"');
    expect(page).toContain('href="/lab/submissions/s%2F3/junit.xml"');
    expect(page).toMatch(/class="verdict pass"/);
  });

  it('says so where it is not split yet', () => {
    expect(wordsOf(submissionPage(sampleSubmission('s', { shards: [] })))).toContain(
      'not split into shards yet',
    );
  });
});

describe('what those are told who hear the page', () => {
  const news = (after: Partial<LabState>) => labNews(lab, { ...lab, ...after });
  const changed = (over: Parameters<typeof sampleSubmission>[1]) =>
    news({ submissions: [sampleSubmission('s-4', over)] });

  it('is that a submission came, went on or ended', () => {
    expect(news({ submissions: [sampleSubmission('s-7')] })).toBe(
      'New: Alcove-6, build 1.8.0, queued.',
    );
    expect(changed({ state: 'merging' })).toBe('Alcove-6, build 1.8.0: merging.');
    expect(changed({ state: 'ended', verdict: 'fail' })).toBe('Alcove-6, build 1.8.0: fail.');
    expect(changed({ state: 'failed' })).toBe('Alcove-6, build 1.8.0: failed to run.');
  });

  it('is that a rig came, is lost or heard again', () => {
    const [one, two] = lab.rigs;
    expect(news({ rigs: [{ ...one!, isHeard: false }] })).toBe('rig 1 is not heard any more.');
    expect(news({ rigs: [{ ...two!, isHeard: true }] })).toBe('rig 2 is heard again.');
    expect(news({ rigs: [sampleRig('rig 9')] })).toBe('New rig: rig 9.');
  });

  it('is no progress, and of much at once the first three', () => {
    expect(changed({ state: 'running', shards: [] })).toBe('');
    const many = ['a', 'b', 'c', 'd', 'e'].map((id) => sampleSubmission(id));
    expect(news({ submissions: many }).match(/New:/g)).toHaveLength(3);
    expect(news({ submissions: many })).toMatch(/And 2 more\.$/);
  });
});
