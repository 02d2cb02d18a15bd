import type { OpenBench } from '../../bench/ports.ts';
import type { ConditionRecord } from '../../record/run-record.ts';

export type LoggedPass = NonNullable<ConditionRecord['firmwareLog']>[number];

/** What the firmware logged up to now, on the time line of a condition that began at `zero`, s; nothing where it did not. */
export function loggedPass(
  bench: Pick<OpenBench, 'firmwareLog'>,
  { zero, solo }: { readonly zero: number; readonly solo: string | null },
): LoggedPass[] {
  const log = bench.firmwareLog?.();
  if (!log || log.lines.length === 0) return [];
  const { lines, dropped } = log;
  return [
    {
      solo,
      lines: lines.map(({ at, text }) => ({ at: at - zero, text })),
      ...(dropped && {
        dropped: { ...dropped, from: dropped.from - zero, to: dropped.to - zero },
      }),
    },
  ];
}
