import * as z from 'zod';
import { name, readable, words } from '../files/schema-parts.ts';
import type { Policy } from './policy.ts';
import { isInstant } from './policy-instant.ts';

/** A day, from 00:00 UTC, or an instant. */
const from = (about: string) =>
  z
    .string()
    .meta({ description: about, examples: ['2026-03-01', '2026-03-01T14:30:00Z'] })
    .refine(isInstant, 'expected a day as YYYY-MM-DD, or an instant as 2026-03-01T14:30:00Z');
const digest = z
  .string()
  .regex(/^[0-9a-f]{64}$/, 'expected a SHA-256 digest of 64 hexadecimal digits');
const list = (about: string, example: string) =>
  z
    .array(z.string().min(1))
    .min(1)
    .meta({ description: about, examples: [[example]] });

const keySchema = z.strictObject({
  file: words('Path of the public key, relative to the policy file.').meta({
    examples: ['mira.pub.pem'],
  }),
  id: digest.meta({
    description: 'Id of the key, as evenfall keys new prints it: no other key in that file counts.',
  }),
  'valid-from': from('First day on which its signatures count.'),
  expires: from('First day on which its signatures no longer count.'),
  revoked: from(
    'From then on its signatures no longer count: its owner has another key, or left.',
  ).optional(),
  compromised: from(
    'Since then somebody else may have had it. Its signatures count only where a sign-off with a sound key that came after them is dated before.',
  ).optional(),
});

const personSchema = z.strictObject({
  name: words('The name that stands in sign-offs and reports.'),
  roles: z.array(name('A role, such as test or quality.')).min(1),
  lamps: list('Lamps that this person may decide on; absent: every lamp.', 'Alcove-6').optional(),
  keys: z.array(keySchema).min(1).meta({ description: 'Old keys stay, with their dates.' }),
});

const passedSchema = z
  .strictObject({
    requirements: list(
      'Each is traced by a claim that passed, and by none that did not.',
      'LUM-041',
    ).optional(),
    claims: z
      .array(
        z.union([name('Id of a spec.'), z.strictObject({ claim: name('Id of a spec.'), digest })]),
      )
      .min(1)
      .meta({ description: 'Each passed; with a digest: as this very spec file asks for it.' })
      .optional(),
    tags: z
      .record(name('A tag of specs.'), z.int().min(1))
      .meta({
        description: 'How many claims with the tag a run has at least; each of them passed.',
        examples: [{ release: 40 }],
      })
      .optional(),
  })
  .refine((passed) => Object.keys(passed).length > 0, {
    message: 'expected requirements, claims or tags that must have passed, found none',
  });

const rigSchema = z.strictObject({
  simulated: z
    .enum(['refuse', 'allow'])
    .prefault('refuse')
    .meta({ description: 'Whether a simulated or emulated bench will do.' }),
  names: list('Rigs that will do; absent: every rig.', 'bench-3').optional(),
  instruments: list(
    'Serial numbers of the instruments that may record, as they tell them themselves; absent: every one.',
    'D16-1042',
  ).optional(),
});

const lampSchema = z.strictObject({
  reported: z
    .array(z.enum(['firmware', 'serial']))
    .meta({ description: 'What the lamp itself must have confirmed on one of its links.' })
    .prefault(['firmware', 'serial']),
  builds: list('Firmware builds that may be released; absent: every build.', '4.2.0').optional(),
  firmware: z
    .array(digest)
    .min(1)
    .meta({ description: 'Digests of firmware files that may be released; absent: all.' })
    .optional(),
  serials: list(
    'Serial numbers of lamps that may be tested; absent: every one.',
    'A6-0042',
  ).optional(),
});

/** `30 d`, `12 h` to s. */
function readAge(text: string): number | null {
  const [, number = '', unit = ''] = /^(\d+(?:\.\d+)?) ?([dh])$/.exec(text.trim()) ?? [];
  const seconds = Number(number) * (unit === 'd' ? 86_400 : 3600);
  return seconds > 0 ? seconds : null;
}

const roles = z.array(name('A role of signers.')).min(1);
const deviationSchema = z.strictObject({
  kind: words('Kind of the deviation, as the run names it.').meta({ examples: ['resumed'] }),
  by: roles.meta({ description: 'One of these roles must be among those who release.' }),
});
const waiverSchema = z.strictObject({
  claim: name('Id of a spec.'),
  by: roles.meta({ description: 'Roles that may waive it.' }),
  verdicts: z
    .array(z.enum(['fail', 'inconclusive', 'error', 'not run']))
    .min(1)
    .prefault(['inconclusive'])
    .meta({ description: 'Verdicts that may be waived.' }),
});

const releaseSchema = z.strictObject({
  signatures: z
    .record(
      name('A role.'),
      z.int().min(1).max(20),
      'expected how many persons of each role sign, such as { test: 1, quality: 1 }',
    )
    .refine((wanted) => Object.keys(wanted).length > 0, 'expected at least one role')
    .meta({ description: 'How many persons of each role sign; each person fills one role.' }),
  'no-self-approval': z
    .boolean()
    .prefault(true)
    .meta({ description: 'The operator of the run must not be among those who release it.' }),
  passed: passedSchema.meta({ description: 'What must have passed: not run will not do.' }),
  rig: rigSchema.prefault({}),
  lamp: lampSchema.prefault({}),
  calibration: z
    .enum(['in-date', 'any'])
    .prefault('in-date')
    .meta({ description: 'Calibration of the instruments that recorded, at the time of the run.' }),
  'oldest-run': readable(
    'Greatest age of the run when it is released, from its end.',
    'a number of days or hours such as 30 d or 12 h',
    '30 d',
    readAge,
  ),
  deviations: z
    .array(deviationSchema)
    .prefault([])
    .meta({ description: 'Deviations that may be released; every other one refuses the run.' }),
  waivers: z
    .array(waiverSchema)
    .prefault([])
    .meta({ description: 'Claims that may be waived; every other waiver refuses the run.' }),
});

/** Who may release what: the file that an organisation keeps under review. */
export const policySchema = z
  .strictObject({
    policy: words('Name of the policy, as it stands in release statements.'),
    version: z.int().min(1).meta({ description: 'Raise it with every change of the file.' }),
    'valid-from': from('First day on which decisions are made under this version.'),
    expires: from('First day on which they no longer are.'),
    earlier: z.array(digest).prefault([]).meta({
      description:
        'SHA-256 of earlier versions of this file: what was signed under them is held against this one.',
    }),
    people: z.array(personSchema).min(1),
    release: releaseSchema,
  })
  .meta({ title: 'Release policy' });

export type PolicyFile = z.output<typeof policySchema>;

/** A policy as it is held against runs and sign-offs. `digest` is the SHA-256 of the file. */
export function policyOf(file: PolicyFile, digest: string): Policy {
  const { release, people } = file;
  const { passed, rig, lamp } = release;
  return {
    ...{ name: file.policy, version: file.version, digest, earlier: file.earlier },
    ...{ validFrom: file['valid-from'], expires: file.expires },
    people: people.map(({ name, roles, lamps = null, keys }) => ({
      ...{ name, roles, lamps },
      keys: keys.map(({ id, expires, revoked = null, compromised = null, ...key }) => ({
        ...{ id, validFrom: key['valid-from'], expires, revoked, compromised },
      })),
    })),
    signatures: release.signatures,
    noSelfApproval: release['no-self-approval'],
    demands: {
      requirements: passed.requirements ?? [],
      claims: (passed.claims ?? []).map((claim) =>
        typeof claim === 'string' ? { claim, digest: null } : claim,
      ),
      tags: passed.tags ?? {},
      simulated: rig.simulated === 'allow',
      rigs: rig.names ?? null,
      instruments: rig.instruments ?? null,
      reported: lamp.reported,
      builds: lamp.builds ?? null,
      firmware: lamp.firmware ?? null,
      serials: lamp.serials ?? null,
      calibrated: release.calibration === 'in-date',
      oldestRun: release['oldest-run'],
      deviations: release.deviations,
      waivers: release.waivers,
    },
  };
}

/** What to change in a policy file of an earlier version; null where it is none. */
export function olderPolicyText(value: unknown): string | null {
  if (typeof value !== 'object' || value === null || !('signers' in value)) return null;
  return 'expected a policy with version, valid-from, expires, people and release, found signers, as earlier versions of Evenfall had it: evenfall new policy NAME writes a file of the new kind; move each signer to people, with roles and dates of the key and its id, and write release.signatures as { quality: 2 } in place of 2';
}
