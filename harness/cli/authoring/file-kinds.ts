import * as z from 'zod';
import { driverSettings } from '../../../drivers/registry.ts';
import { policySchema } from '../../archive/policy-file.ts';
import { fileJsonSchema, fileKinds as languageKinds } from '../../spec-language/json-schema.ts';

/** Kinds of files that people write. */
export const fileKinds = [...languageKinds, 'policy'] as const;
export type FileKind = (typeof fileKinds)[number];

export function isFileKind(text: string): text is FileKind {
  return (fileKinds as readonly string[]).includes(text);
}

/** The JSON Schema (draft 2020-12) of a file kind, for completion in an editor. */
export function jsonSchemaOf(kind: FileKind): object {
  if (kind !== 'policy') return fileJsonSchema(kind, driverSettings);
  // The file as a person writes it, before figures become SI.
  return z.toJSONSchema(policySchema, { io: 'input' });
}
