import { cpSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { inTotoPayloadType, sealEnvelope } from '../../../harness/archive/dsse.ts';
import { signRun } from '../../../harness/archive/sign-run.ts';
import type { Decision, ReleaseStatement } from '../../../harness/archive/statement.ts';
import { verifyRun } from '../../../harness/archive/verify-run.ts';
import { scratchFolders } from '../scratch.ts';
import { newPerson, sealedRun } from '../signed-run.ts';

const scratch = scratchFolders();
const mira = newPerson('Mira');
const otto = newPerson('Otto');
const vera = newPerson('Vera');
const trusted = [mira, otto, vera].map((person) => person.public);

function decide(folder: string, person: typeof mira, time: string, decision: Decision = 'release') {
  return signRun(folder, {
    ...{ key: person.key, name: person.name, meaning: 'approval', decision, waivers: [] },
    signedAt: `2026-03-05T${time}:00Z`,
  });
}

/** Mira signed at 08:00; then `one` on this folder and `other` on a copy of it, and both lie in the folder. */
async function forked(
  one: readonly [typeof mira, string, Decision?],
  other: readonly [typeof mira, string, Decision?],
) {
  const folder = await sealedRun(scratch());
  await decide(folder, mira, '08:00');
  const copy = join(scratch(), basename(folder));
  cpSync(folder, copy, { recursive: true });
  await decide(folder, ...one);
  const file = await decide(copy, ...other);
  for (const name of [file, file.replace('.release.', '.test-result.')]) {
    cpSync(join(copy, name), join(folder, name), { force: false });
  }
  return folder;
}

const textOf = ({ problems }: { problems: readonly { file: string; text: string }[] }): string =>
  problems.map(({ file, text }) => `${file} ${text}`).join('\n');

/** Another statement in the place of one that is there, by a person who is trusted. */
function resign(
  path: string,
  person: typeof mira,
  change: (statement: ReleaseStatement) => void,
): void {
  const { payload } = JSON.parse(readFileSync(path, 'utf8'));
  const statement = JSON.parse(Buffer.from(payload, 'base64').toString());
  change(statement);
  const body = new TextEncoder().encode(JSON.stringify(statement));
  writeFileSync(
    path,
    sealEnvelope(inTotoPayloadType, body, person.key.privateKey, person.key.publicKey),
  );
}

describe('the sign-offs of a run', () => {
  it('are one chain where each names all that came before', async () => {
    const folder = await sealedRun(scratch());
    await decide(folder, mira, '08:00');
    await decide(folder, otto, '09:00');
    await decide(folder, mira, '10:00');
    expect(await verifyRun(folder, trusted)).toMatchObject({ decision: 'released', notes: [] });
  });

  it('are refused where one does not name another that its number puts before it', async () => {
    const folder = await sealedRun(scratch());
    await decide(folder, mira, '08:00', 'reject');
    const second = await decide(folder, otto, '09:00');
    resign(join(folder, second), otto, (statement) => {
      const own = second.replace('.release.', '.test-result.');
      statement.subject = statement.subject.filter(
        ({ name }) => !name.startsWith('signoffs/') || name === own,
      );
    });
    const verified = await verifyRun(folder, trusted);
    expect(verified.decision).toBe('refused');
    expect(textOf(verified)).toContain(
      `${second} does not name signoffs/01-mira.release.dsse.json, which its number puts before it`,
    );
  });

  it('are refused where one is put in between, or one is left out', async () => {
    const folder = await sealedRun(scratch());
    const first = await decide(folder, mira, '08:00');
    for (const name of [first, first.replace('.release.', '.test-result.')])
      renameSync(join(folder, name), join(folder, name.replace('01-', '03-')));
    resign(join(folder, first.replace('01-', '03-')), mira, (statement) => {
      for (const one of statement.subject) one.name = one.name.replace('01-', '03-');
    });
    const verified = await verifyRun(folder, trusted);
    expect(verified.decision).toBe('refused');
    expect(textOf(verified)).toContain(
      'has the number 3, but the last sign-off that it names has 0',
    );
  });

  it('are refused where one has no number', async () => {
    const folder = await sealedRun(scratch());
    const first = await decide(folder, mira, '08:00');
    const bare = (name: string) => name.replace('01-', '');
    for (const name of [first, first.replace('.release.', '.test-result.')])
      renameSync(join(folder, name), join(folder, bare(name)));
    resign(join(folder, bare(first)), mira, (statement) => {
      for (const one of statement.subject) one.name = bare(one.name);
    });
    expect(textOf(await verifyRun(folder, trusted))).toContain('has no number');
  });

  it('are refused where a later one is dated before an earlier one', async () => {
    const folder = await sealedRun(scratch());
    await decide(folder, mira, '09:00', 'reject');
    await decide(folder, mira, '08:00');
    const verified = await verifyRun(folder, trusted);
    expect(verified.decision).toBe('refused');
    expect(textOf(verified)).toContain(
      '02-mira.release.dsse.json is dated before signoffs/01-mira',
    );
  });
});

describe('two sign-offs of one number', () => {
  it('stand where they were signed at the same time, and a sentence says so', async () => {
    const folder = await forked([otto, '09:00'], [vera, '09:04']);
    expect(await verifyRun(folder, trusted)).toMatchObject({
      decision: 'released',
      notes: [
        'signoffs/02-otto.release.dsse.json and signoffs/02-vera.release.dsse.json were signed at the same time, neither knowing the other',
      ],
    });
  });

  it('are refused where one was signed later on an old copy, until somebody decides who knows both', async () => {
    const folder = await forked([otto, '09:00', 'reject'], [vera, '11:00']);
    const verified = await verifyRun(folder, trusted);
    expect(verified.decision).toBe('refused');
    expect(textOf(verified)).toContain(
      'signoffs/02-vera.release.dsse.json was signed on a copy of the run without signoffs/02-otto.release.dsse.json',
    );
    await decide(folder, mira, '12:00');
    const settled = await verifyRun(folder, trusted);
    expect(settled).toMatchObject({ decision: 'rejected', problems: [] });
    expect(settled.notes.join()).toContain(
      'signoffs/03-mira.release.dsse.json was decided by somebody who knew both',
    );
  });

  it('by one person are refused until that person signs again: nobody knows their last word', async () => {
    const folder = await forked([otto, '09:00', 'reject'], [{ ...vera, name: 'otto ot' }, '09:01']);
    expect((await verifyRun(folder, trusted)).decision).toBe('rejected');
    const own = await forked([otto, '09:00', 'reject'], [{ ...otto, name: 'Otto O.' }, '09:01']);
    const verified = await verifyRun(own, trusted);
    expect(verified.decision).toBe('refused');
    expect(textOf(verified)).toContain('nobody can tell which was said last');
    await decide(own, mira, '10:00');
    expect((await verifyRun(own, trusted)).decision).toBe('refused');
    await decide(own, otto, '11:00');
    expect(await verifyRun(own, trusted)).toMatchObject({ decision: 'released', problems: [] });
  });
});
