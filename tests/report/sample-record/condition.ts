import type {
  CaptureRecord,
  ConditionRecord,
  Finding,
} from '../../../harness/record/run-record.ts';
import { rollUp } from '../../../harness/verdict/verdict.ts';
import { channels } from './lamp-channels.ts';

let captureCount = 0;

/** Captures are numbered through a record, as the engine does: the next condition begins at 0001 again. */
export function numberCapturesAnew(): void {
  captureCount = 0;
}

export function condition(
  values: Record<string, string>,
  findings: Finding[],
  taken?: { signal: string; unit: string; fade?: number; ripple?: boolean },
): ConditionRecord {
  const ofs = taken?.signal === 'channel-current' ? [...channels] : taken ? ['light'] : [];
  const captures = ofs.map((of) => capture(taken?.signal ?? '', of, taken?.unit ?? ''));
  const ids = captures.map(({ id }) => id);
  return {
    key: Object.entries(values)
      .map(([name, value]) => `${name}=${value}`)
      .join(', '),
    values,
    repeat: 0,
    verdict: rollUp(findings.map((f) => f.verdict)),
    reason: findings.find((f) => f.verdict !== 'pass')?.reason ?? null,
    startedAt: '2026-11-24T18:03:14.000Z',
    duration: 0.8 + (taken?.fade ?? 1),
    attempts: 1,
    marks: [{ name: 'fade', at: 0.3 }],
    commands: [
      {
        at: 0,
        link: 'console',
        verb: 'set',
        text: 'dim 100 mix 80 0 10 0 5 0',
        reply: 'ok',
      },
      {
        at: 0.3,
        link: 'console',
        verb: 'fade',
        text: `fade ${(taken?.fade ?? 1) * 1000} dim 100 mix 10 0 65 0 30 0`,
        reply: 'ok',
      },
    ],
    captures,
    findings: findings.map((f) => ({
      ...f,
      captures: f.of === 'lamp' || f.of === 'light' ? ids : ids.filter((x) => x.includes(f.of)),
    })),
  };
}

function capture(signal: string, of: string, unit: string): CaptureRecord {
  captureCount++;
  const id = of === signal ? signal : `${signal}-${of}`;
  return {
    id,
    file: `${String(captureCount).padStart(4, '0')}-${id}.npy`,
    signal,
    of,
    instrument: 'digitiser',
    input: `ch${channels.indexOf(of as 'warm') + 1 || 7}`,
    rate: 10000,
    start: 0,
    samples: 20000,
    unit,
    scale: 0.0001,
    offset: 0,
    clipped: 0,
    taken: 'at-once',
  };
}
