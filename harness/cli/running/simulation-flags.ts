/**
 * V8's flags for a command line. To be set before the command is loaded and before workers are started, which take over what the
 * process has.
 *
 * @param version of Node, such as `20.19.0`
 * @param isShortLived the command ends before optimised code would pay
 */
export function engineFlags(version: string, isShortLived: boolean): readonly string[] {
  if (isShortLived) return ['--no-opt'];
  return version.startsWith('20.') ? frugal : [];
}

/**
 * Node 20 optimises so early that in a run of seconds a third of the processor time is the compiler's, on threads that take the
 * cores from other conditions; and its collector of young objects waits for helpers that have no core (measured on two). On
 * Node 22 and 24 these gain nothing, and the first is unknown there.
 */
const frugal = [
  '--interrupt-budget=400000',
  '--no-concurrent-recompilation',
  '--no-parallel-scavenge',
];
