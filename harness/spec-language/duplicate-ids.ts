import type { Plan } from '../plan/plan.ts';

/** Two specs that claim the same id. */
export interface DuplicateId {
  readonly spec: string;
  readonly files: readonly [string, string];
  readonly message: string;
}

/** What is wrong with specs only when they are run together: an id has to mean one claim, in reports and over years. */
export function duplicateIds(plans: readonly Pick<Plan, 'spec' | 'file'>[]): DuplicateId[] {
  const first = new Map<string, string>();
  return plans.flatMap(({ spec, file }) => {
    const other = first.get(spec);
    first.set(spec, other ?? file);
    if (other === undefined) return [];
    const message = `${other} already uses the id "${spec}"; rename one of the two`;
    return [{ spec, files: [other, file] as const, message }];
  });
}
