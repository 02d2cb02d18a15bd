import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { register as verify } from '../../harness/cli/release/verify.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { writePolicy } from '../archive/release-policy.ts';
import { scratchFolders } from '../archive/scratch.ts';
import { passphrase, sealedRun } from '../archive/signed-run.ts';
import { sampleCondition, sampleFinding, sampleSpec } from '../record/sample-record.ts';
import { runCommand } from './run-command.ts';
import { form, keyFiles, openDesk } from './view-desk.ts';

const scratch = scratchFolders();
const open: { close(): Promise<void> }[] = [];
afterEach(async () => {
  for (const server of open.splice(0)) await server.close();
});

const failing: Partial<RunRecord> = {
  operator: 'Otto',
  specs: [
    sampleSpec('fade-on-time', [
      sampleCondition({
        findings: [sampleFinding({ value: 3, verdict: 'fail', reason: 'above its limit' })],
      }),
    ]),
  ],
};

async function desk(over: Partial<RunRecord> = failing, signer?: string) {
  const root = scratch();
  const keys = await keyFiles(root, 'Mira');
  const folder = await sealedRun(join(root, 'reports'), over);
  const waivable = [{ claim: 'fade-on-time', by: ['quality'], verdicts: ['fail' as const] }];
  const asked = { 'no-self-approval': true, waivers: waivable };
  const policyFile =
    signer === undefined
      ? null
      : writePolicy(root, [{ name: signer, file: 'mira.pub.pem' }], asked);
  const opened = await openDesk(join(root, 'reports'), { keyFile: keys.file, policyFile });
  open.push(opened.server);
  const path = `/runs/${basename(folder)}`;
  const sign = async (changes: Readonly<Record<string, string>> = {}) => {
    const usual = { seen: '0', name: 'Mira', meaning: 'approval', decision: 'release', passphrase };
    const waived = { waive: 'fade-on-time', 'reason fade-on-time': 'agreed with the museum' };
    const fields = { ...usual, ...(over === failing ? waived : {}), ...changes };
    const given = Object.entries(fields).filter(([, value]) => value !== '');
    return opened.ask(`${path}/sign`, form(opened.address, given));
  };
  const signoffs = () => {
    try {
      return readdirSync(join(folder, 'signoffs'));
    } catch {
      return [];
    }
  };
  return { ...opened, root, folder, path, keys, sign, signoffs };
}

describe('signing on a page', () => {
  it('signs by the rules of the command, and evenfall verify accepts it', async () => {
    const { sign, signoffs, ask, path, folder, keys, said } = await desk();
    const { status, headers } = await sign();
    expect(status).toBe(303);
    expect(headers.location).toBe(path);
    expect(signoffs()).toEqual(['01-mira.release.dsse.json', '01-mira.test-result.dsse.json']);
    const { text } = await ask(path);
    expect(text).toContain('● released');
    expect(text).toContain('Release by Mira');
    expect(text).toContain('Waived fade-on-time (fail): agreed with the museum');
    expect((await ask('/sign-off')).text).toContain('No run is waiting for a decision');
    expect((await ask('/')).text).toContain('signed: release');
    const verified = await runCommand(verify, [folder, '--public', keys.public]);
    expect(verified.exitCode).toBe(0);
    expect(said.join('')).toContain('Signed: release of run');
  });

  it('keeps the passphrase to itself: not in a page, a file, or what is said', async () => {
    const { sign, said, root, folder, path, ask } = await desk();
    const wrong = await sign({ passphrase: 'a wrong passphrase' });
    expect(wrong.status).toBe(422);
    expect(wrong.text).toContain('the passphrase does not open the key');
    expect(wrong.text).not.toContain('a wrong passphrase');
    // What was typed besides is not lost.
    expect(wrong.text).toContain('value="Mira"');
    expect(wrong.text).toContain('value="agreed with the museum"');
    await sign();
    const everything = [said.join(''), (await ask(path)).text];
    for (const place of [join(root, 'reports'), folder, join(folder, 'signoffs')]) {
      for (const entry of readdirSync(place, { withFileTypes: true })) {
        if (entry.isFile()) everything.push(readFileSync(join(place, entry.name), 'latin1'));
      }
    }
    expect(
      everything.filter((text) => text.includes(passphrase) || text.includes('a wrong pass')),
    ).toEqual([]);
  });

  it.each([
    [
      'a claim that failed is not waived',
      { waive: '', 'reason fade-on-time': '' },
      'Tick each one to waive it',
    ],
    ['a waiver has no reason', { 'reason fade-on-time': '' }, 'needs a reason'],
    ['a reason is written but nothing ticked', { waive: '' }, 'not ticked to be waived'],
    [
      'a claim is waived that is not in the run',
      { waive: 'nothing', 'reason fade-on-time': '' },
      'there is no claim nothing',
    ],
    ['the name is missing', { name: '' }, 'expected a name and a meaning'],
    ['the decision is none', { decision: 'ship it' }, 'expected a decision'],
    ['somebody signed meanwhile', { seen: '2' }, 'somebody else has signed this run meanwhile'],
  ])('is refused with a sentence when %s', async (_, changes, sentence) => {
    const { sign, signoffs } = await desk();
    const { status, text } = await sign(changes);
    expect(status).toBe(422);
    expect(text).toContain(sentence);
    expect(signoffs()).toEqual([]);
  });

  it('signs once when the button is pressed twice', async () => {
    const { sign, signoffs } = await desk();
    const answers = await Promise.all([sign(), sign()]);
    expect(answers.map(({ status }) => status).sort()).toEqual([303, 422]);
    expect(signoffs()).toHaveLength(2);
  });

  it('holds the signer against the policy, and says what it still misses', async () => {
    const { sign, signoffs, ask, path } = await desk(failing, 'Vera');
    expect((await ask('/sign-off')).text).toContain(
      'asks for 1 signature: 1 quality (Vera); the operator of a run may not release it',
    );
    expect((await ask(`${path}/sign`)).text).toContain(
      'requires 1 signature for release (1 quality), found 0',
    );
    const { status, text } = await sign();
    expect(status).toBe(422);
    expect(text).toContain('gives this key to Vera, not to Mira');
    expect(signoffs()).toEqual([]);
  });

  it('does not let the operator of a run release it', async () => {
    const { sign } = await desk({ ...failing, operator: 'Mira' }, 'Mira');
    const { text } = await sign({ waive: 'fade-on-time', 'reason fade-on-time': 'x' });
    expect(text).toContain('the policy forbids self-approval');
  });

  it('refuses a run whose files were altered', async () => {
    const { sign, folder, signoffs } = await desk();
    writeFileSync(join(folder, 'junit.xml'), '<testsuites></testsuites>\n');
    const { text } = await sign();
    expect(text).toContain('the run is not as it was stored: junit.xml');
    expect(signoffs()).toEqual([]);
  });

  it('is not offered without a key, nor over an unencrypted network', async () => {
    const root = scratch();
    const folder = await sealedRun(root);
    const { file } = await keyFiles(scratch(), 'Mira');
    for (const [over, sentence] of [
      [{}, 'This server has no signing key'],
      [{ keyFile: file, loopback: false }, 'unencrypted'],
    ] as const) {
      const { server, ask, address } = await openDesk(root, over);
      open.push(server);
      const path = `/runs/${basename(folder)}/sign`;
      const shown = await ask(path);
      expect(shown.text).toContain(sentence);
      expect(shown.text).not.toContain('type="password"');
      const fields = Object.entries({
        seen: '0',
        name: 'Mira',
        meaning: 'm',
        decision: 'release',
        passphrase,
      });
      const { status } = await ask(path, form(address, fields));
      expect(status).toBe(422);
    }
    expect(readdirSync(folder)).not.toContain('signoffs');
  });
});
