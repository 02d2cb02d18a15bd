import { cpSync } from 'node:fs';
import { basename, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Policy } from '../../../harness/archive/policy.ts';
import { signRun } from '../../../harness/archive/sign-run.ts';
import { verifyRun } from '../../../harness/archive/verify-run.ts';
import type { RunRecord } from '../../../harness/record/run-record.ts';
import { standsOpen } from '../../../harness/verdict/verdict.ts';
import {
  sampleCapture,
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from '../../record/sample-record.ts';
import { policyFor, referenceTo } from '../release-policy.ts';
import { scratchFolders } from '../scratch.ts';
import { newPerson, sealedRun } from '../signed-run.ts';

const scratch = scratchFolders();
const mira = newPerson('Mira');
const otto = newPerson('Otto');
const vera = newPerson('Vera');
const keys = [mira.public, otto.public, vera.public];
type Person = typeof mira;
type Release = Parameters<typeof policyFor>[1];

/** A signature as somebody makes it who does not ask the policy before. */
function word(
  folder: string,
  { key, name }: Person,
  policy: Policy | null,
  over: Partial<Parameters<typeof signRun>[1]> = {},
) {
  return signRun(folder, {
    ...{ key, name, meaning: 'approval', decision: 'release', waivers: [] },
    ...{ signedAt: '2026-03-05T08:00:00Z', policy: policy && referenceTo(policy) },
    ...over,
  });
}

const scope = {
  ...{ name: 'scope', driver: 'scpi', simulated: false },
  identity: { maker: 'Tarn', model: 'D16', serial: 'D16-1042', firmware: '1' },
  calibration: {
    ...{ date: '2026-01-31', due: '2027-01-31', certificate: 'C-1' },
    state: 'valid' as const,
  },
};
const real = {
  ...{ name: 'bench-3', place: 'bench', file: 'b.rig.yaml', digest: 'cd'.repeat(32), ambient: 23 },
  ...{ simulated: false, notes: {}, instruments: [scope] },
};
const sampleLamp = {
  ...{ name: 'Alcove-6', maker: 'Halden Display Lighting', build: '1.4.2', serial: 'A6-0001' },
  ...{ channels: [], file: 'a.lamp.yaml', digest: 'ab'.repeat(32) },
  firmware: { kind: 'reference', name: 'reference firmware', digest: 'ab'.repeat(32) },
};
const said = { link: 'console', maker: '', model: 'Alcove-6', raw: '' };
const failing = (verdict: 'fail' | 'inconclusive') =>
  sampleSpec('fade-on-time', [
    sampleCondition({ findings: [sampleFinding({ value: 3, verdict, reason: 'above' })] }),
  ]);

const overdue = { ...scope, calibration: { ...scope.calibration, due: '2026-03-03' } };
const shardOn = (rig: RunRecord['rig']): NonNullable<RunRecord['shards']>[number] => {
  const { id, startedAt, endedAt, lamp, safeState } = sampleRecord();
  return {
    ...{ number: 1, run: id, manifest: 'ab'.repeat(32), rig, safeState, claims: ['fade-on-time'] },
    ...{ startedAt, endedAt: endedAt ?? startedAt, lamp: { serial: lamp.serial } },
  };
};

const beside = (spec: string) =>
  sampleSpec(spec, [], { verdict: 'not applicable', reason: 'needs a mains supply' });

describe('a run that the policy does not want, signed by everybody that it asks for', () => {
  it.each<[string, Partial<RunRecord>, Release, string]>([
    ['simulated', {}, { rig: {} }, 'demanded: a real rig; found: the rig simulated'],
    [
      'one simulated instrument on a rig that says it is real',
      { rig: { ...real, instruments: [scope, { ...scope, name: 'sensor', simulated: true }] } },
      { rig: {} },
      'demanded: a real rig; found: the rig bench-3, simulated in part (sensor)',
    ],
    [
      'another rig',
      { rig: real },
      { rig: { names: ['bench-2'] } },
      'demanded: the rig bench-2; found: bench-3',
    ],
    [
      'an instrument of another serial number, such as an emulated one',
      { rig: { ...real, instruments: [{ ...scope, name: 'digitiser' }] } },
      { rig: { instruments: ['D16-0007'] } },
      'demanded: an instrument digitiser with the serial number D16-0007; found: D16-1042',
    ],
    [
      'a calibration that ran out before',
      {
        rig: {
          ...real,
          instruments: [overdue],
        },
      },
      {},
      'demanded: a calibration of scope that is in date from 2026-03-04 to 2026-03-04; found: C-1 of 2026-01-31, due 2026-03-03',
    ],
    [
      'an instrument that recorded and was never calibrated',
      { rig: { ...real, instruments: [{ ...scope, name: 'digitiser', calibration: null }] } },
      {},
      'demanded: a calibration of digitiser that is in date from 2026-03-04 to 2026-03-04; found: none',
    ],
    [
      'a merged one, whose second bench is overdue',
      { rig: real, shards: [shardOn(real), shardOn({ ...real, instruments: [overdue] })] },
      {},
      'demanded: a calibration of scope that is in date from 2026-03-04 to 2026-03-04; found: C-1 of 2026-01-31, due 2026-03-03',
    ],
    [
      'one claim where a requirement wants another',
      {},
      { passed: { requirements: ['LUM-041', 'LUM-001'] } },
      'demanded: requirement LUM-001 proved by claims that pass; found: no claim that traces it',
    ],
    [
      'a claim that was not run',
      {
        specs: [
          sampleSpec('fade-on-time', [sampleCondition()]),
          sampleSpec('dims-deep', [], { traces: ['LUM-001'] }),
        ],
      },
      {
        passed: { requirements: ['LUM-001'] },
        waivers: [{ claim: 'dims-deep', by: ['quality'], verdicts: ['not run'] }],
      },
      'demanded: requirement LUM-001 proved by claims that pass; found: dims-deep (not run)',
    ],
    [
      'a claim that does not apply to the lamp, where it is demanded by name',
      { specs: [sampleSpec('fade-on-time', [sampleCondition()]), beside('dims-deep')] },
      { passed: { claims: ['dims-deep'] } },
      'demanded: that the claim dims-deep passed; found: not applicable',
    ],
    [
      'a claim that is missing',
      {},
      { passed: { claims: ['dims-deep'] } },
      'demanded: that the claim dims-deep passed; found: no such claim in the run',
    ],
    [
      'a claim that failed and is waived by somebody who may not',
      { specs: [failing('fail')] },
      {},
      'demanded: that the claim fade-on-time passed; found: fail',
    ],
    [
      'a claim of a spec file with other tolerances',
      {},
      { passed: { claims: [{ claim: 'fade-on-time', digest: 'ff'.repeat(32) }] } },
      'demanded: the claim fade-on-time by the spec file with sha256 ffffffffffff…; found: abababababab…',
    ],
    [
      'one claim of forty with a tag',
      {},
      { passed: { tags: { commit: 40 } } },
      'demanded: 40 claims or more with the tag commit, all of them passed; found: 1 passed',
    ],
    [
      'another build than may go out',
      {},
      { lamp: { reported: [], builds: ['2.0.0'] } },
      'demanded: the build 2.0.0; found: 1.4.2',
    ],
    [
      'another lamp',
      {},
      { lamp: { reported: [], serials: ['A6-0042'] } },
      'demanded: the lamp with the serial number A6-0042; found: A6-0001',
    ],
    [
      'another firmware file',
      {},
      { lamp: { reported: [], firmware: ['ff'.repeat(32)] } },
      'demanded: firmware with sha256 ffffffffffff…; found: abababababab…',
    ],
    [
      'a build that somebody typed and no lamp confirmed',
      {},
      { lamp: { reported: ['firmware'] } },
      'demanded: that the lamp itself reports its build 1.4.2; found: it said nothing of it',
    ],
    [
      'a lamp that reports another build and number',
      { lamp: { ...sampleLamp, says: [{ ...said, firmware: '1.4.20', serial: 'A6-0009' }] } },
      { lamp: { reported: ['firmware', 'serial'] } },
      'demanded: that the lamp itself reports its build 1.4.2; found: it says 1.4.20\ndemanded: that the lamp itself reports its serial number A6-0001; found: it says A6-0009',
    ],
    [
      'a deviation that nobody allowed',
      { deviations: [{ kind: 'judged again', text: 'the specs have changed' }] },
      { deviations: [{ kind: 'resumed', by: ['quality'] }] },
      'demanded: no deviation but resumed; found: judged again: the specs have changed',
    ],
    [
      'an old one',
      {},
      { 'oldest-run': '12 h' },
      'Mira signed too late: demanded: a run no older than 0.5 days; found: one of 1.1 days',
    ],
  ])('is not released: %s', async (_, over, release, told) => {
    const capture = sampleCapture();
    const usual = sampleCondition({ captures: [capture] });
    const specs = over.specs ?? [sampleSpec('fade-on-time', [usual])];
    const folder = await sealedRun(scratch(), { ...over, specs });
    const policy = policyFor([mira], { ...release });
    const open = specs.filter(standsOpen);
    const waivers = open.map(({ spec }) => ({ claim: spec, reason: 'it will do' }));
    await word(folder, mira, policy, { waivers });
    expect((await verifyRun(folder, keys)).problems).toEqual([]);
    const held = await verifyRun(folder, keys, policy);
    expect(held).toMatchObject({ decision: 'undecided', accepted: false });
    expect(held.unmet.join('\n')).toContain(told);
  });

  it('is released where the policy has what it demands', async () => {
    const says = [{ ...said, firmware: 'Alcove-6 v1.4.2', serial: 'a6-0001' }];
    const folder = await sealedRun(scratch(), { rig: real, lamp: { ...sampleLamp, says } });
    const policy = policyFor([mira], {
      passed: { requirements: ['LUM-041'], claims: ['fade-on-time'], tags: { commit: 1 } },
      rig: { names: ['bench-3'] },
      lamp: { builds: ['1.4.2'], serials: ['A6-0001'], firmware: ['ab'.repeat(32)] },
      'oldest-run': '2 d',
    });
    await word(folder, mira, policy);
    expect(await verifyRun(folder, keys, policy)).toMatchObject({
      ...{ decision: 'released', accepted: true, unmet: [], refused: [] },
      seats: [{ role: 'quality', person: 'Mira' }],
    });
  });
});

describe('waivers and deviations', () => {
  const waiver = [{ claim: 'fade-on-time', reason: 'the museum agrees' }];
  const people = [mira, { ...otto, roles: ['test'] }];
  const release: Release = {
    signatures: { test: 1 },
    waivers: [{ claim: 'fade-on-time', by: ['quality'] }],
  };

  it('are those of a role that may, and of a verdict that may be waived', async () => {
    const policy = policyFor(people, release);
    const folder = await sealedRun(scratch(), { specs: [failing('inconclusive')] });
    await word(folder, otto, policy, { waivers: waiver });
    expect((await verifyRun(folder, keys, policy)).unmet).toEqual([
      'demanded: a waiver of fade-on-time (inconclusive) by quality; found: none',
    ]);
    await word(folder, mira, policy, { waivers: waiver });
    expect((await verifyRun(folder, keys, policy)).decision).toBe('released');
    const failed = await sealedRun(scratch(), { specs: [failing('fail')] });
    await word(failed, mira, policy, { waivers: waiver });
    await word(failed, otto, policy, { waivers: waiver });
    expect((await verifyRun(failed, keys, policy)).decision).toBe('undecided');
  });

  it('are accepted by a person of the role that the policy names', async () => {
    const allowed = { ...release, deviations: [{ kind: 'resumed', by: ['quality'] }] };
    const policy = policyFor(people, allowed);
    const folder = await sealedRun(scratch(), { deviations: [{ kind: 'resumed', text: 'twice' }] });
    await word(folder, otto, policy);
    expect((await verifyRun(folder, keys, policy)).unmet.join()).toContain(
      'demanded: a release by quality, since the run has the deviation resumed; found: test',
    );
    await word(folder, mira, policy);
    expect((await verifyRun(folder, keys, policy)).decision).toBe('released');
  });
});

describe('roles', () => {
  const both: Release = { signatures: { test: 1, quality: 1 } };

  it('are not filled twice by one person who has both', async () => {
    const policy = policyFor([{ ...mira, roles: ['test', 'quality'] }, otto, vera], both);
    const folder = await sealedRun(scratch());
    await word(folder, mira, policy);
    await word(folder, mira, policy);
    const held = await verifyRun(folder, keys, policy);
    expect(held.decision).toBe('undecided');
    expect(held.unmet.join()).toContain('found 1 (Mira (test)); missing: quality');
    await word(folder, otto, policy);
    expect((await verifyRun(folder, keys, policy)).decision).toBe('released');
  });

  it('are not filled by two of one role; and one with two roles keeps nobody out', async () => {
    const roles = ['test', 'quality'];
    const policy = policyFor([{ ...mira, roles }, { ...otto, roles: ['test'] }, vera], both);
    const folder = await sealedRun(scratch());
    await word(folder, mira, policy);
    await word(folder, otto, policy);
    expect((await verifyRun(folder, keys, policy)).seats).toEqual([
      { role: 'test', person: 'Otto' },
      { role: 'quality', person: 'Mira' },
    ]);
    const other = await sealedRun(scratch());
    const onlyQuality = policyFor([mira, otto, { ...vera, roles: ['test'] }], both);
    await word(other, mira, onlyQuality);
    await word(other, otto, onlyQuality);
    expect((await verifyRun(other, keys, onlyQuality)).unmet.join()).toContain('missing: test');
  });
});

describe('keys and policies that do not hold at the time', () => {
  it.each<[string, object, object, RegExp]>([
    ['a key before its time', { 'valid-from': '2026-03-06' }, {}, /is valid from 2026-03-06/],
    ['an expired key', { expires: '2026-03-05' }, {}, /the key .* expired on 2026-03-05/],
    ['a revoked key', { revoked: '2026-03-05T08:00:00Z' }, {}, /was revoked on 2026-03-05T08/],
    ['a compromised key', { compromised: '2026-03-05' }, {}, /is compromised since 2026-03-05/],
    [
      'a compromised key that sets the date back',
      { compromised: '2026-03-06' },
      {},
      /compromised since 2026-03-06, and no later sign-off proves that this one is older/,
    ],
    ['a policy before its time', {}, { 'valid-from': '2026-03-06' }, /is valid from 2026-03-06/],
    ['an expired policy', {}, { expires: '2026-03-05' }, /version 3, expired on 2026-03-05/],
  ])('make a signature that does not count: %s', async (_, dates, over, told) => {
    const policy = policyFor([{ ...mira, dates }], {}, over);
    const folder = await sealedRun(scratch());
    await word(folder, mira, policy);
    const held = await verifyRun(folder, keys, policy);
    expect(held.decision).toBe('undecided');
    expect(held.unmet.join('\n')).toMatch(told);
  });

  it('a key that was revoked or compromised later leaves what it provably signed before', async () => {
    const revoked = policyFor([{ ...mira, dates: { revoked: '2026-03-06' } }]);
    const folder = await sealedRun(scratch());
    await word(folder, mira, revoked);
    expect((await verifyRun(folder, keys, revoked)).decision).toBe('released');
    const lost = [{ ...mira, dates: { compromised: '2026-03-06' } }, otto];
    const policy = policyFor(lost, { signatures: { quality: 2 } });
    const proved = await sealedRun(scratch());
    await word(proved, mira, policy);
    await word(proved, otto, policy, { signedAt: '2026-03-05T09:00:00Z' });
    expect((await verifyRun(proved, keys, policy)).decision).toBe('released');
    const late = await sealedRun(scratch());
    await word(late, mira, policy);
    await word(late, otto, policy, { signedAt: '2026-03-06T09:00:00Z' });
    expect((await verifyRun(late, keys, policy)).decision).toBe('undecided');
  });

  it('a compromised key proves nothing by a sign-off that is put before a sound one', async () => {
    const lost = [{ ...mira, dates: { compromised: '2026-03-06' } }, otto];
    const policy = policyFor(lost, { signatures: { quality: 2 } });
    const folder = await sealedRun(scratch());
    const copy = join(scratch(), basename(folder));
    cpSync(folder, copy, { recursive: true });
    await word(folder, otto, policy, { signedAt: '2026-03-05T09:00:00Z' });
    await word(copy, mira, policy);
    // Its name sorts before that of the sound one, which never saw it.
    cpSync(join(copy, 'signoffs'), join(folder, 'signoffs'), { recursive: true });
    expect((await verifyRun(folder, keys, policy)).accepted).toBe(false);
  });

  it('a rotated key takes back what the old one said', async () => {
    const second = newPerson('Mira');
    const key = { 'valid-from': '2026-01-01', file: 'k.pem' };
    const twoKeys = [
      { ...key, id: mira.id, expires: '2026-03-05T09:00:00Z' },
      { ...key, id: second.id, 'valid-from': '2026-03-05T09:00:00Z', expires: '2028-01-01' },
    ];
    const policy = policyFor(
      [],
      {},
      {
        people: [{ name: 'Mira', roles: ['quality'], keys: twoKeys }],
      },
    );
    const folder = await sealedRun(scratch());
    await word(folder, mira, policy, { decision: 'reject' });
    await word(folder, mira, policy, { signedAt: '2026-03-05T10:00:00Z' });
    const both = [mira.public, second.public];
    expect((await verifyRun(folder, both, policy)).decision).toBe('rejected');
    await word(folder, second, policy, { signedAt: '2026-03-05T11:00:00Z' });
    expect(await verifyRun(folder, both, policy)).toMatchObject({
      decision: 'released',
      unmet: [],
    });
  });

  it('a rejection outside the time of its key is not swept away', async () => {
    const policy = policyFor([{ ...mira, dates: { expires: '2026-03-05' } }, otto]);
    const folder = await sealedRun(scratch());
    await word(folder, mira, policy, { decision: 'reject' });
    await word(folder, otto, policy);
    expect((await verifyRun(folder, keys, policy)).accepted).toBe(false);
  });
});

describe('a statement under another policy', () => {
  it('is named: under none, under a kinder one, and under the same one before it was changed', async () => {
    const strict = policyFor([mira], {}, { version: 4 });
    const kind = policyFor([mira], {}, { policy: 'anything goes', version: 9 });
    for (const [under, told] of [
      [null, /Mira signed under no policy, not under the policy Alcove-6 releases, version 4/],
      [kind, /under the policy anything goes, version 9 \(sha256 .*…\), not under .* version 4/],
      [{ ...strict, digest: 'ee'.repeat(32) }, /version 4 \(sha256 eeeeeeeeeeee…\), not under/],
    ] as const) {
      const folder = await sealedRun(scratch());
      await word(folder, mira, under);
      const held = await verifyRun(folder, keys, strict);
      expect(held.decision).toBe('undecided');
      expect(held.unmet.join()).toMatch(told);
    }
  });

  it('counts where the new version names the earlier one', async () => {
    const before = policyFor([mira]);
    const after = policyFor([mira], {}, { version: 4, earlier: [before.digest] });
    const folder = await sealedRun(scratch());
    await word(folder, mira, before);
    expect((await verifyRun(folder, keys, after)).decision).toBe('released');
  });

  it('decides nothing where nobody names the policy: one of two signatures is no release', async () => {
    const policy = policyFor([mira, otto], { signatures: { quality: 2 } });
    const folder = await sealedRun(scratch());
    await word(folder, mira, policy);
    expect(await verifyRun(folder, keys)).toMatchObject({
      ...{ decision: 'undecided', accepted: false },
      unmet: [
        'Mira released under the policy Alcove-6 releases, version 3: name its file with --policy',
      ],
    });
    await word(folder, mira, policy, { decision: 'reject' });
    expect((await verifyRun(folder, keys)).decision).toBe('rejected');
  });
});
