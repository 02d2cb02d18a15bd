import type { ConditionRecord, Finding } from '../record/run-record.ts';
import { commandedLight } from './commanded-light.ts';

/** What findings are told apart by: `channel` and its value `warm`, `fade-time` and `2 s`. */
export type Facets = ReadonlyMap<string, string>;

/** Facets of every finding; the others are the names that specs give the axes of their matrix. */
export const ownFacets = {
  channel: 'channel',
  direction: 'direction',
  link: 'link',
  power: 'power',
  level: 'level',
} as const;

const notLinks = new Set(['supply', 'chamber', 'lamp']);

/** A facet that does not apply is absent: a whole light is of no channel, a steady one has no direction. */
export function facetsOf(
  condition: ConditionRecord,
  finding: Finding,
  channels: ReadonlySet<string>,
): Facets {
  const facets = new Map(Object.entries(condition.values));
  const put = (name: string, value: string | null): void => {
    if (value !== null && !facets.has(name)) facets.set(name, value);
  };
  const { level, direction } = commandedLight(condition, finding);
  put(ownFacets.channel, channels.has(finding.of) ? finding.of : null);
  put(ownFacets.direction, direction);
  put(ownFacets.link, linksOf(condition));
  put(ownFacets.power, powerOf(condition));
  put(ownFacets.level, level === null ? null : `${Number((100 * level).toPrecision(3))} %`);
  return facets;
}

/** The links that the condition spoke, where it spoke any. */
function linksOf({ commands }: ConditionRecord): string | null {
  const links = new Set(commands.map(({ link }) => link).filter((link) => !notLinks.has(link)));
  return links.size > 0 ? [...links].sort().join(' and ') : null;
}

/** Whether the lamp lost its power, or was restarted, on the way. */
function powerOf({ commands }: ConditionRecord): string {
  const went = commands.some(
    ({ verb, text }) => verb === 'reset' || (verb === 'supply' && /\boff\b/.test(text)),
  );
  return went ? 'lost' : 'steady';
}
