import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as z from 'zod';
import { profileSchema } from '../../../drivers/scpi/profile-schema.ts';
import { commandReference } from './commands.ts';
import { glossaryTable } from './glossary.ts';
import { rowsOf, type Schema } from './schema-rows.ts';
import { alternativeTables, schemaTable } from './schema-table.ts';

const made =
  'Made by `npm run handbook` from the schemas that read the files. Keys are written as a path: `a.b` stands in `a`, `a[]` is an entry of a ' +
  'list, `*` a name of your own.';

/** The files of `docs/reference` by their names: every command, every key of lamp, rig, policy and profile files, and the glossary. */
export async function reference(root: string): Promise<ReadonlyMap<string, string>> {
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
  const developers = readFileSync(join(root, 'DEVELOPERS.md'), 'utf8');
  return new Map([
    ...Object.entries(pages),
    ['commands.md', commandsPage(await commandReference())],
    ['glossary.md', glossaryPage(developers)],
  ]);
}

function commandsPage(sections: string): string {
  return `# Commands

Made by \`npm run handbook\` from what \`--help\` prints.

${sections}
`;
}

function glossaryPage(developers: string): string {
  return `# Glossary

Made by \`npm run handbook\` from the glossary in DEVELOPERS.md. One thing has one name, from the file format to the page. Where a row has several words,
their meanings stand in the same order.

${glossaryTable(developers)}
`;
}

function page(title: string, ...parts: readonly string[]): string {
  return `${[`# ${title}`, made, ...parts].join('\n\n')}\n`;
}
