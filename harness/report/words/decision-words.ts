/** What a list says of the newest decision on a run, as it stands in its folder; null where nobody signed. */
export function decisionWords(decision: string | null): string | null {
  if (decision === null) return null;
  if (decision === 'missing') return '▲ a decision was deleted';
  return decision === 'unreadable' ? '▲ a sign-off cannot be read' : `signed: ${decision}`;
}
