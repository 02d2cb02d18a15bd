import { samePerson } from './person.ts';
import type { PolicyPerson } from './policy.ts';

/** One of the signatures that a policy asks for, and who gave it. */
export interface Seat {
  readonly role: string;
  readonly person: string | null;
}

/**
 * Sets people into the roles that are asked for, each into one, so that as many seats as can be are taken (augmenting paths; a
 * person with two roles must not keep out one who has only the first).
 */
export function seatsOf(
  wanted: Readonly<Record<string, number>>,
  people: readonly PolicyPerson[],
): readonly Seat[] {
  const roles = Object.entries(wanted).flatMap(([role, count]) => Array(count).fill(role));
  const taken: (PolicyPerson | null)[] = roles.map(() => null);
  const seat = (person: PolicyPerson, tried: Set<number>): boolean =>
    roles.some((role, index) => {
      if (tried.has(index) || !person.roles.includes(role)) return false;
      tried.add(index);
      const sitting = taken[index] ?? null;
      if (sitting !== null && !seat(sitting, tried)) return false;
      taken[index] = person;
      return true;
    });
  const different = people.filter(
    ({ name }, index) => !people.slice(0, index).some((one) => samePerson(one.name, name)),
  );
  for (const person of different) seat(person, new Set());
  return roles.map((role, index) => ({ role, person: taken[index]?.name ?? null }));
}
