import { existsSync, readdirSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { register as verify } from '../../harness/cli/release/verify.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { writePolicy } from '../archive/release-policy.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { passphrase, sealedRun } from '../archive/signed-run.ts';
import { runCommand } from './run-command.ts';
import { form, keyFiles, openDesk } from './view-desk.ts';

const scratch = scratchFolders();
const open: { close(): Promise<void> }[] = [];
afterEach(async () => {
  for (const server of open.splice(0)) await server.close();
});

const people = ['Mira', 'Otto', 'Nele', 'Vera'];

/** An archive of one run, Mira (test), Otto (quality) and Nele (quality) with a desk each, and two signatures wanted. */
async function desks(over: Partial<RunRecord> = {}, release: object = {}) {
  const root = scratch();
  for (const name of people) await keyFiles(root, name);
  const reports = join(root, 'reports');
  const folder = await sealedRun(reports, { operator: 'Nele', ...over });
  const known = people.slice(0, 3).map((name) => ({
    ...{ name, file: `${name.toLowerCase()}.pub.pem` },
    roles: [name === 'Mira' ? 'test' : 'quality'],
  }));
  const policyFile = writePolicy(root, known, {
    ...{ signatures: { test: 1, quality: 1 }, 'no-self-approval': true, ...release },
  });
  const path = `/runs/${basename(folder)}`;
  const of = async (name: string) => {
    const keyFile = join(root, `${name.toLowerCase()}.pem`);
    const { server, ask, address } = await openDesk(reports, { keyFile, policyFile });
    open.push(server);
    const queue = async () => parts((await ask('/sign-off')).text);
    const sign = (decision = 'release') => {
      const seen = existsSync(join(folder, 'signoffs'))
        ? readdirSync(join(folder, 'signoffs')).length
        : 0;
      const fields = { seen: `${seen}`, name, meaning: 'approval', decision, passphrase };
      return ask(`${path}/sign`, form(address, Object.entries(fields)));
    };
    return { ask, queue, sign };
  };
  return { root, reports, folder, path, policyFile, of };
}

/** The queue by its sections, as text. */
function parts(page: string) {
  const text = (html: string) => html.replace(/<[^>]+>/g, ' ').replace(/\s+/g, ' ');
  const sections = page.match(/<section>.*?<\/section>/gs) ?? [];
  const of = (heading: RegExp) => text(sections.find((one) => heading.test(one)) ?? '');
  return {
    waiting: of(/waiting for a decision/i),
    refused: of(/Cannot be released/),
    decided: of(/Latest decisions/),
  };
}

describe('two signatures', () => {
  it('are a way: the run waits for the second person, with who signed and which role is missing', async () => {
    const { of, folder, policyFile, path } = await desks();
    const mira = await of('Mira');
    const otto = await of('Otto');
    expect((await mira.queue()).waiting).toContain('0 of 2 signatures. Missing: test, quality.');
    expect((await mira.sign()).status).toBe(303);
    const { waiting, decided } = await otto.queue();
    expect(waiting).toContain('Waiting for a decision: 1');
    expect(waiting).toContain('1 of 2 signatures: Mira (test). Missing: quality.');
    expect(waiting).toMatch(/Release signed by Mira, \d+ \w+ \d{4}/);
    expect(waiting).toContain('Sign a decision on run 3fa9c01b');
    expect(decided).toBe('');
    expect((await otto.ask(path)).text).toContain('1 of 2 signatures: Mira (test)');
    expect((await otto.ask(`${path}/sign`)).text).toContain('1 of 2 signatures: Mira (test)');
    expect((await otto.sign()).status).toBe(303);
    const done = await otto.queue();
    expect(done.waiting).toContain('No run is waiting for a decision');
    expect(done.decided).toContain('● released');
    expect(done.decided).toContain('2 of 2 signatures: Mira (test), Otto (quality).');
    const verified = await runCommand(verify, [folder, '--policy', policyFile]);
    expect(verified.exitCode).toBe(0);
  });

  it('are not two of one person: who signed sees what the run waits for, and may still change their mind', async () => {
    const { of, path } = await desks();
    const mira = await of('Mira');
    await mira.sign();
    const { waiting } = await mira.queue();
    expect(waiting).toContain('Mira has signed (test); it waits for quality.');
    expect(waiting).toContain('Change the decision on run 3fa9c01b');
    const sheet = (await mira.ask(`${path}/sign`)).text;
    expect(sheet).toContain('Mira has signed (test); it waits for quality.');
    expect(sheet).toContain('type="password"');
    await mira.sign('reject');
    expect((await mira.queue()).waiting).toContain('No run is waiting');
    expect((await mira.queue()).decided).toContain('▲ rejected');
  });

  it('are not for the operator, nor for a stranger: each sees why', async () => {
    const { of, path } = await desks();
    const nele = await of('Nele');
    const why = 'Nele operated this run, and the policy forbids self-approval';
    expect((await nele.queue()).waiting).toContain(`Not yours to decide: ${why}.`);
    expect((await nele.queue()).waiting).not.toContain('Sign a decision');
    const sheet = (await nele.ask(`${path}/sign`)).text;
    expect(sheet).toContain(why);
    expect(sheet).not.toContain('type="password"');
    expect((await nele.sign()).status).toBe(422);
    const vera = await of('Vera');
    expect((await vera.queue()).waiting).toMatch(
      /Not yours to decide: the key .* is not in the policy/,
    );
  });

  it('need the roles that are missing: another of a role that is there sees which', async () => {
    const { of } = await desks({ operator: 'Kim' });
    await (await of('Otto')).sign();
    expect((await (await of('Nele')).queue()).waiting).toContain(
      'Nele has the role quality; it waits for test.',
    );
  });

  it('wait on through a hold, which is named', async () => {
    const { of } = await desks();
    await (await of('Otto')).sign('hold');
    const { waiting } = await (await of('Mira')).queue();
    expect(waiting).toContain('Hold signed by Otto');
    expect(waiting).toContain('Kept back: Otto decided hold.');
  });
});

describe('a run that cannot be released', () => {
  it.each<[string, Partial<RunRecord>, object, string]>([
    [
      'simulated, where the policy wants a real rig',
      {},
      { rig: {} },
      'Demanded: a real rig; found: the rig simulated',
    ],
    [
      'with a seeded fault',
      { faults: [{ fault: 'linear-dimming', size: 1 }] },
      {},
      'Demanded: no seeded fault; found: linear-dimming (size 1)',
    ],
    ['too old', {}, { 'oldest-run': '1 d' }, 'Demanded: a run no older than 1 day; found: one of'],
  ])('is not in the queue, and the reason stands elsewhere: %s', async (_, over, release, told) => {
    const { of } = await desks(over, release);
    const { waiting, refused } = await (await of('Mira')).queue();
    expect(waiting).toContain('No run is waiting for a decision');
    expect(refused).toContain(told);
  });

  it('is not in the queue where its files were altered', async () => {
    const { of, folder } = await desks();
    writeFileSync(join(folder, 'junit.xml'), '<testsuites></testsuites>\n');
    const { waiting, refused } = await (await of('Mira')).queue();
    expect(waiting).toContain('No run is waiting for a decision');
    expect(refused).toContain('Altered since it was sealed: junit.xml was altered');
  });
});
