import type { SpecRecord } from '../../record/run-record.ts';

/** What a claim's quarantine says, in a sentence; null where it is in none. */
export function quarantineText({ quarantine }: Pick<SpecRecord, 'quarantine'>): string | null {
  if (!quarantine) return null;
  const { owner, reason, until } = quarantine;
  return `In quarantine until ${until} (${owner}): ${reason.replace(/\.$/, '')}.`;
}
