/** One of the signatures that a policy asks for, and who gave it. */
export interface Seat {
  readonly role: string;
  readonly person: string | null;
}

/** `1 of 2 signatures: Mira (test). Missing: quality.` */
export function seatsText(seats: readonly Seat[]): string {
  const given = seats.filter(({ person }) => person !== null);
  const missing = seats.filter(({ person }) => person === null);
  const of = seats.length === 1 ? 'signature' : 'signatures';
  const who = given.map(({ person, role }) => `${person} (${role})`).join(', ');
  const signed = `${given.length} of ${seats.length} ${of}${who === '' ? '' : `: ${who}`}.`;
  if (missing.length === 0) return signed;
  return `${signed} Missing: ${missing.map(({ role }) => role).join(', ')}.`;
}
