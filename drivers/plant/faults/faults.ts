import type { Fault } from './fault.ts';

/** Every seeded fault, by family. */
export const faults: readonly Fault[] = [];

export function findFault(id: string): Fault | undefined {
  return faults.find((fault) => fault.id === id);
}
