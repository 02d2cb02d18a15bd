import type { Issue } from '../files/issue.ts';
import { IssueList } from '../files/issue-list.ts';
import { readYaml } from '../files/read-yaml.ts';
import { goodParts } from '../files/schema-parts.ts';
import { checkLamp } from './check-lamp.ts';
import type { Lamp } from './lamp.ts';
import { type LampFile, lampSchema } from './lamp-schema.ts';

export type ReadLamp = { readonly lamp: Lamp } | { readonly issues: readonly Issue[] };

/** Reads the text of a lamp file; every issue at once. */
export function readLamp(text: string, file: string): ReadLamp {
  const { yaml, issues } = readYaml(text, file);
  if (!yaml) return { issues };
  const list = new IssueList(yaml, issues);
  const parsed = list.parse(lampSchema, yaml.value);
  checkLamp(parsed ?? goodParts(lampSchema, yaml.value), list);
  return parsed && list.count === 0 ? { lamp: toLamp(parsed) } : { issues: list.sorted() };
}

function toLamp({
  'start-up': startUp,
  'as-delivered': asDelivered,
  channels,
  ...rest
}: LampFile): Lamp {
  return {
    ...rest,
    ...(asDelivered && { asDelivered }),
    channels: Object.entries(channels).map(([channel, own]) => ({ channel, ...own })),
    startUp,
  };
}
