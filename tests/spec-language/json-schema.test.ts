import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { fileJsonSchema, fileKinds } from '../../harness/spec-language/json-schema.ts';
import { specsFolder } from './shipped-lamp.ts';

describe('the JSON Schemas that editors use', () => {
  for (const kind of fileKinds) {
    it(`are up to date: evenfall check --schema ${kind} > specs/schemas/${kind}.schema.json`, () => {
      const file = join(specsFolder, 'schemas', `${kind}.schema.json`);
      expect(JSON.parse(readFileSync(file, 'utf8'))).toEqual(fileJsonSchema(kind));
    });
  }

  it('offer the metrics by name', () => {
    const schema = JSON.stringify(fileJsonSchema('spec'));
    expect(schema).toContain('"fade-duration"');
    expect(schema).toContain('"maxProperties":1');
  });
});
