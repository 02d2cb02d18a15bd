import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { driverSettings } from '../../drivers/registry.ts';
import { fileKinds, jsonSchemaOf } from '../../harness/cli/authoring/file-kinds.ts';
import { fileJsonSchema } from '../../harness/spec-language/json-schema.ts';
import { specsFolder } from './shipped-lamp.ts';

describe('the JSON Schemas that editors use', () => {
  for (const kind of fileKinds) {
    it(`are up to date: evenfall check --schema ${kind} > specs/schemas/${kind}.schema.json`, () => {
      const file = join(specsFolder, 'schemas', `${kind}.schema.json`);
      expect(JSON.parse(readFileSync(file, 'utf8'))).toEqual(jsonSchemaOf(kind));
    });
  }

  it('know the settings of every driver, and leave those of the user’s own alone', () => {
    const rig = JSON.stringify(fileJsonSchema('rig', driverSettings));
    for (const driver of driverSettings.keys()) expect(rig).toContain(`"const":"${driver}"`);
    expect(rig).toContain('"identity-element"');
    expect(rig).toContain('"pattern":"^(?!(?:plant|scpi|');
  });

  it('offer the metrics by name', () => {
    const schema = JSON.stringify(fileJsonSchema('spec', driverSettings));
    expect(schema).toContain('"fade-duration"');
    expect(schema).toContain('"maxProperties":1');
  });
});
