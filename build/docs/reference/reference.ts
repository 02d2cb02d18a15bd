import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as z from 'zod';
import { profileSchema } from '../../../drivers/scpi/profile-schema.ts';
import { rowsOf, type Schema } from './schema-rows.ts';
import { alternativeTables, schemaTable } from './schema-table.ts';

const made =
  'Made by `npm run handbook` from the schemas that read the files. Keys are written as a path: `a.b` stands in `a`, `a[]` is an entry of a ' +
  'list, `*` a name of your own.';

/** The files of `docs/reference` by their names: every key of lamp, rig, policy and profile files. */
export function reference(root: string): ReadonlyMap<string, string> {
  const schemaOf = (kind: string): Schema =>
    JSON.parse(readFileSync(join(root, `specs/schemas/${kind}.schema.json`), 'utf8'));
  const rig = schemaOf('rig');
  const { instruments, ...others } = rig.properties ?? {};
  const each = instruments?.additionalProperties;
  const profile: Schema = JSON.parse(
    JSON.stringify(z.toJSONSchema(profileSchema, { io: 'input', unrepresentable: 'any' })),
  );
  const pages = {
    'lamp-file.md': page('Keys of a lamp file', schemaTable(rowsOf(schemaOf('lamp')))),
    'rig-file.md': page(
      'Keys of a rig file',
      schemaTable(rowsOf({ ...rig, properties: others })),
      '## instruments\n\nEach instrument has a name of your own. All of them may have:',
      alternativeTables(typeof each === 'object' ? each : {}, '###'),
    ),
    'policy-file.md': page('Keys of a release policy', schemaTable(rowsOf(schemaOf('policy')))),
    'scpi-profile.md': page(
      'Keys of a profile of a SCPI instrument',
      'Every profile may have:',
      alternativeTables(profile, '##'),
    ),
  };
  return new Map(Object.entries(pages));
}

function page(title: string, ...parts: readonly string[]): string {
  return `${[`# ${title}`, made, ...parts].join('\n\n')}\n`;
}
