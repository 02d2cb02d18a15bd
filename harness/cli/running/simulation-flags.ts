/**
 * V8's flags for a run on the simulated lamp, to be set before specs are read and workers started, which take over what the
 * process has. Not for a rig: there the compiler must not hold up a command.
 *
 * Node 20 optimises so early that in a run of seconds a third of the processor time is the compiler's, on threads that take the
 * cores from other conditions; and its collector of young objects waits for helpers that have no core (measured on two). On
 * Node 22 and 24 these gain nothing, and the first is unknown there.
 *
 * @param version of Node, such as `20.19.0`
 */
export function simulationFlags(version: string): readonly string[] {
  return version.startsWith('20.') ? frugal : [];
}

const frugal = [
  '--interrupt-budget=400000',
  '--no-concurrent-recompilation',
  '--no-parallel-scavenge',
];
