import {
  appendFileSync,
  existsSync,
  mkdirSync,
  truncateSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { basename, join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { createRunFolder } from '../../harness/archive/run-folder.ts';
import { register as trend } from '../../harness/cli/archive/trend.ts';
import { runState } from '../../harness/cli/view/archived-run.ts';
import { JournalFollower } from '../../harness/cli/view/live-progress.ts';
import { register as view } from '../../harness/cli/view/view.ts';
import { archiveOf } from '../archive/archive-of.ts';
import { scratchFolders } from '../archive/scratch.ts';
import {
  headerOf,
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../record/sample-record.ts';
import { runCommand } from './run-command.ts';
import { openDesk } from './view-desk.ts';

const scratch = scratchFolders();
const open: { close(): Promise<void> }[] = [];
afterEach(async () => {
  for (const server of open.splice(0)) await server.close();
});

function runOf(day: number, value = 2, over: Parameters<typeof sampleRecord>[0] = {}) {
  const verdict = value > 2.1 ? 'fail' : 'pass';
  const finding = sampleFinding({ value, verdict, reason: verdict === 'fail' ? 'late' : null });
  const dd = String(day).padStart(2, '0');
  return sampleRecord({
    id: `${dd}aaaaaa77de4a5c0b1d`,
    startedAt: `2026-03-${dd}T05:06:07Z`,
    endedAt: `2026-03-${dd}T05:07:07Z`,
    specs: [sampleSpec('fade-on-time', [sampleCondition({ findings: [finding] })])],
    ...over,
  });
}

async function deskOf(records: readonly ReturnType<typeof runOf>[]) {
  const root = scratch();
  const folders = await archiveOf(root, records);
  const opened = await openDesk(root);
  open.push(opened.server);
  return { ...opened, root, names: folders.map((folder) => basename(folder)) };
}

describe('evenfall view', () => {
  it('listens on this computer alone, and says so when it is told otherwise', async () => {
    const root = scratch();
    const interrupted = AbortSignal.abort('SIGINT');
    const own = await runCommand(view, ['--reports', root], { interrupted });
    expect(own.exitCode).toBe(0);
    expect(own.stdout).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/\?token=[\w-]{43}\n$/);
    expect(own.stderr).not.toContain('warning');
    const wide = await runCommand(view, ['--reports', root, '--host', '0.0.0.0'], { interrupted });
    expect(wide.stderr).toContain(
      'warning: with --host 0.0.0.0 other computers can reach these pages',
    );
    const tokens = [own, wide].map(({ stdout }) => stdout.split('token=')[1]);
    expect(tokens[0]).not.toBe(tokens[1]);
  });

  it.each([
    [['--port', 'x'], 64, 'expected a whole number from 0 to 65535, found "x"'],
    [['--policy', 'nowhere.yaml'], 66, 'cannot read the policy file'],
    [['--public', 'nowhere.pem'], 66, 'cannot read the key file'],
  ])('refuses %j with a sentence', async (args, exitCode, sentence) => {
    const ran = await runCommand(view, args, {
      interrupted: AbortSignal.abort('SIGINT'),
      cwd: scratch(),
    });
    expect(ran.exitCode).toBe(exitCode);
    expect(ran.stderr).toContain(sentence);
  });

  it('says which port is taken', async () => {
    const { address, root } = await deskOf([]);
    const ran = await runCommand(view, ['--reports', root, '--port', address.port], {
      interrupted: AbortSignal.abort('SIGINT'),
    });
    expect(ran.exitCode).toBe(73);
    expect(ran.stderr).toContain(`port ${address.port}: another program is listening there`);
  });
});

describe('the list of runs', () => {
  it('finds runs by lamp, build, verdict and a piece of text, and says how many match', async () => {
    const other = { ...sampleRecord().lamp, build: '1.5.0', serial: 'A6-0042' };
    const { ask } = await deskOf([runOf(1), runOf(2, 2.2), runOf(3, 2, { lamp: other })]);
    const listed = async (query: string) => {
      const { text } = await ask(`/?${query}`);
      return [...text.matchAll(/run (\d\d)aaaaaa</g)].map((match) => match[1]);
    };
    expect(await listed('')).toEqual(['03', '02', '01']);
    expect(await listed('verdict=fail')).toEqual(['02']);
    expect(await listed('build=1.5.0')).toEqual(['03']);
    expect(await listed('lamp=alcove-6')).toEqual(['03', '02', '01']);
    expect(await listed('text=a6-0042')).toEqual(['03']);
    expect(await listed('text=02AAAA')).toEqual(['02']);
    expect(await listed('text=%25')).toEqual([]);
    expect((await ask('/?verdict=fail')).text).toContain('1 of 3 runs match.');
    expect((await ask('/?verdict=nonsense')).text).toContain('No run matches.');
  });

  it('turns pages, and keeps what was asked for', async () => {
    const many = Array.from({ length: 45 }, (_, k) =>
      runOf(1 + (k % 28), 2, { id: `${String(k).padStart(4, '0')}cccc77de4a5c0b1d` }),
    );
    const { ask } = await deskOf(many);
    const first = await ask('/?build=1.4.2');
    expect(first.text.match(/class="row"/g)).toHaveLength(40);
    expect(first.text).toContain('/?build=1.4.2&amp;page=2');
    const second = await ask('/?build=1.4.2&page=2');
    expect(second.text.match(/class="row"/g)).toHaveLength(5);
    expect(second.text).toContain('page 2 of 2');
  });

  it('is a sheet with a sentence where nothing was stored yet', async () => {
    const { ask } = await deskOf([]);
    expect((await ask('/')).text).toContain('No stored runs yet.');
    expect((await ask('/trend')).text).toContain('The archive has no findings yet.');
    expect((await ask('/sign-off')).text).toContain('No run is waiting for a decision');
    expect((await ask('/builds')).text).toContain('No build has a complete, sealed run yet.');
  });

  it('shows what strangers wrote as text', async () => {
    const hostile = `<img src=x onerror="alert(1)">'"&`;
    const lamp = { ...sampleRecord().lamp, build: hostile, serial: hostile };
    const { ask, names } = await deskOf([runOf(1, 2.2, { lamp }), runOf(2, 2.2, { lamp })]);
    const query = `?metric=fade-duration&spec=${encodeURIComponent(hostile)}`;
    const paths = [
      '/',
      `/?text=${encodeURIComponent(hostile)}`,
      `/runs/${names[0]}`,
      '/sign-off',
      `/runs/${names[0]}/sign`,
      `/compare?a=${names[0]}&b=${names[1]}`,
      '/trend?metric=fade-duration',
      `/trend${query}`,
      '/builds',
    ];
    for (const path of paths) {
      const { text, status } = await ask(path);
      expect(status, path).toBe(200);
      expect(text, path).not.toContain('<img');
    }
  });
});

describe('comparing', () => {
  it('asks for two different runs', async () => {
    const { ask, names } = await deskOf([runOf(1), runOf(2, 2.2)]);
    const both = await ask(`/compare?a=${names[0]}&b=${names[1]}`);
    expect(both.text).toContain('Newly failing: 1');
    for (const query of ['', `?a=${names[0]}`, `?a=${names[0]}&b=${names[0]}`]) {
      const { status, text } = await ask(`/compare${query}`);
      expect(status).toBe(422);
      expect(text).toContain('choose two different runs');
    }
    expect((await ask(`/compare?a=..%2f..&b=${names[1]}`)).status).toBe(404);
  });
});

describe('builds', () => {
  const lampOf = (build: string) => ({ lamp: { ...sampleRecord().lamp, build } });

  it('stand by lamp, each with its newest run, and say which one broke a claim', async () => {
    const { ask, names, root } = await deskOf([
      runOf(1, 2, lampOf('1.4.1')),
      runOf(2, 2.2, lampOf('1.4.2')),
      runOf(3, 2.2, lampOf('1.4.3')),
    ]);
    const { text } = await ask('/builds');
    expect(text).toContain('<a href="/builds" aria-current="page">Builds</a>');
    for (const name of names) expect(text).toContain(`<a href="/runs/${name}">`);
    expect([...text.matchAll(/<th scope="row">([^<]*)/g)].map(([, build]) => build)).toEqual([
      '1.4.3',
      '1.4.2',
      '1.4.1',
    ]);
    expect(text).toContain('Build 1.4.1 passed, build 1.4.2 failed, on Alcove-6 (simulated)');
    expect(text).toContain(`href="/compare?a=${names[0]}&amp;b=${names[1]}"`);
    writeFileSync(join(root, names[1] ?? '', 'junit.xml'), '<changed/>');
    const changed = await ask('/builds');
    expect(changed.text).toContain('Left out: ');
    expect(changed.text).not.toContain('build 1.4.2 failed');
  });

  it('name claims that come out both ways on one of them', async () => {
    const { ask } = await deskOf([runOf(1), runOf(2, 2.2), runOf(3), runOf(4)]);
    expect((await ask('/builds')).text).toContain(
      'fails in 25 % of its runs: 3 passed, 1 failed in 4 runs of Alcove-6 1.4.2',
    );
  });
});

describe('trends', () => {
  const drifting = Array.from({ length: 16 }, (_, k) =>
    runOf(1 + k, 2 + 0.001 * (k % 2) + (k > 9 ? 0.01 * (k - 9) : 0)),
  );

  it('draws the limits of the control chart, marks where it fired, and leads to each run', async () => {
    const { ask, names } = await deskOf(drifting);
    const { text } = await ask('/trend?metric=fade-duration');
    expect(text).toContain('1 series of 1 claim, the largest drift first; 1 left the usual range.');
    expect(text).toContain('▲ 1 left its usual range');
    // In both sizes of the control chart, in the small picture, and once at the end of the line beside the claim.
    expect(text.match(/class="trend-point pass"/g)).toHaveLength(3 * 16 + 1);
    for (const name of names) expect(text).toContain(`href="/runs/${name}"`);
    const few = await ask('/trend?metric=fade-duration&last=5');
    expect(few.text).toContain('5 values; a control chart needs 8');
    expect((await ask('/trend?metric=fade-duration&of=cool')).text).toContain(
      'No stored finding matches.',
    );
  });

  it('are written to a file that needs nothing else', async () => {
    const { root } = await deskOf(drifting);
    const file = join(root, 'trend.html');
    const ran = await runCommand(trend, ['fade-duration', '--reports', root, '--page', file]);
    expect(ran).toMatchObject({ exitCode: 0, stderr: `Page: ${file}\n` });
    const refused = await runCommand(trend, [
      'fade-duration',
      '--reports',
      root,
      '--page',
      join(root, 'no', 'where.html'),
    ]);
    expect(refused.exitCode).toBe(73);
    expect(refused.stderr).toContain('--page: expected a file that can be written');
  });
});

describe('a run in progress', () => {
  const record = () => ({ ...headerOf(runOf(1)), planned: 3 });
  const condition = (key: string, verdict: 'pass' | 'fail') =>
    sampleCondition({
      key,
      verdict,
      captures: [],
      findings: [sampleFinding({ verdict, reason: verdict === 'fail' ? 'late' : null })],
    });

  it('is followed by what its journal gains, line by line', async () => {
    const folder = await createRunFolder(scratch(), record());
    const follower = await JournalFollower.open(folder.path);
    expect(await follower.read()).toMatchObject({ done: 0, planned: 3 });
    await folder.saveCondition('fade-on-time', condition('a', 'pass'));
    expect((await follower.read()).claims[0]).toMatchObject({ done: 1, verdict: 'pass' });
    await folder.saveCondition('fade-on-time', condition('b', 'fail'));
    expect((await follower.read()).claims[0]).toMatchObject({ done: 2, verdict: 'fail' });
    expect(await follower.read()).toMatchObject({ done: 2 });
    await folder.close();
  });

  it('names what is being measured, and of a claim that fails its worst finding and not its first', async () => {
    const folder = await createRunFolder(scratch(), record());
    const follower = await JournalFollower.open(folder.path);
    folder.tellRunning([{ spec: 'fade-on-time', key: 'c' }]);
    for (const [key, value] of [
      ['a', 2.2],
      ['b', 2.9],
      ['c', 2.4],
    ] as const) {
      const late = sampleFinding({
        verdict: 'fail',
        reason: 'late',
        outcome: { measured: true, value },
      });
      await folder.saveCondition('fade-on-time', {
        ...condition(key, 'fail'),
        findings: [late],
      });
    }
    const [claim] = (await follower.read()).claims;
    expect(claim).toMatchObject({ running: true, done: 3, verdict: 'fail' });
    expect(claim?.worst).toContain(', b: 2.9');
    folder.tellRunning([]);
    expect((await follower.read()).claims[0]?.running).toBe(false);
    folder.tellRunning([{ spec: 'fade-on-time', key: 'c' }]);
    await folder.close();
    expect(existsSync(join(folder.path, 'running.json'))).toBe(false);
  });

  it('is not misread where a line is half written, torn off, or no line at all', async () => {
    const folder = await createRunFolder(scratch(), record());
    await folder.saveCondition('fade-on-time', condition('a', 'pass'));
    const journal = join(folder.path, 'journal.ndjson');
    const follower = await JournalFollower.open(folder.path);
    expect((await follower.read()).done).toBe(1);
    const line = JSON.stringify({ spec: 'fade-on-time', condition: { verdict: 'fail' } });
    appendFileSync(journal, line.slice(0, 20));
    expect((await follower.read()).done).toBe(1);
    appendFileSync(journal, `${line.slice(20)}\nnot json\n{"spec":1}\n`);
    expect((await follower.read()).done).toBe(2);
    truncateSync(journal, 0);
    expect((await follower.read()).done).toBe(0);
    await folder.close();
  });

  it('is running while somebody writes to it, cut off when nobody does, sealed at the end', async () => {
    const root = scratch();
    const folder = await createRunFolder(root, record());
    expect(await runState(folder.path)).toBe('running');
    await folder.close();
    // Between the last line and the seal the folder still changes.
    expect(await runState(folder.path)).toBe('running');
    utimesSync(folder.path, 1_000, 1_000);
    expect(await runState(folder.path)).toBe('cut off');
    const opened = await openDesk(root);
    open.push(opened.server);
    const { text } = await opened.ask(`/runs/${basename(folder.path)}`);
    expect(text).toContain('evenfall run --resume 01aaaaaa continues it');
    expect(text).not.toContain('<script');
    expect((await opened.ask(`/runs/${basename(folder.path)}/sign`)).status).toBe(409);
    writeFileSync(join(folder.path, 'manifest.json'), '');
    expect(await runState(folder.path)).toBe('sealed');
    mkdirSync(join(root, '2026-01-01T00-00-00Z-empty'));
    expect((await opened.ask('/runs/2026-01-01T00-00-00Z-empty')).status).toBe(409);
  });

  it('sends its progress as events, and ends them with the run', async () => {
    const root = scratch();
    const folder = await createRunFolder(root, record());
    const { server, address, cookie } = await openDesk(root);
    open.push(server);
    const url = new URL(`/runs/${basename(folder.path)}/progress`, address);
    const response = await fetch(url, { headers: { cookie } });
    expect(response.headers.get('content-type')).toBe('text/event-stream');
    const events: { state: string; done: number }[] = [];
    const decoder = new TextDecoder();
    let rest = '';
    for await (const part of response.body!) {
      rest += decoder.decode(part as Uint8Array, { stream: true });
      const whole = rest.split('\n\n');
      rest = whole.pop()!;
      for (const event of whole) {
        expect(event).toMatch(/^event: progress\n/);
        events.push(JSON.parse(event.split('data: ')[1]!));
      }
      if (events.length === 1) await folder.saveCondition('fade-on-time', condition('a', 'pass'));
      if (events.at(-1)!.done === 1 && events.at(-1)!.state === 'running') {
        await folder.finish(runOf(1), []);
      }
    }
    expect(events.map(({ state, done }) => [state, done])).toEqual([
      ['running', 0],
      ['running', 1],
      ['sealed', 1],
    ]);
  });
});
