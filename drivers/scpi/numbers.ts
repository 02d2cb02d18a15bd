import { BenchError } from '../../harness/bench/errors.ts';

/** Anything at or beyond this means "not a number" (9.91E37) or infinity (9.9E37). SCPI-1999, confirmed. */
const sentinel = 9.89e37;
const notANumber = 9.905e37;

const decimal = /^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/;

/** A figure of a reply (NR1, NR2 or NR3). Throws BenchError: `garbled` where it is none, `overload` where it is infinite. */
export function readNumber(text: string, instrument: string, what: string): number {
  const trimmed = text.trim();
  const value = Number(trimmed);
  if (!decimal.test(trimmed) || !Number.isFinite(value))
    throw new BenchError(
      'garbled',
      instrument,
      `${instrument}: it sent "${trimmed.slice(0, 60)}" as ${what}; expected a number`,
    );
  if (Math.abs(value) < sentinel) return value;
  const overload = Math.abs(value) < notANumber;
  throw new BenchError(
    overload ? 'overload' : 'garbled',
    instrument,
    `${instrument}: it sent ${trimmed} as ${what}, which means ${overload ? 'overload' : '"no reading"'}`,
  );
}

/** Whether a figure means "no reading". */
export function isSentinel(text: string): boolean {
  return Math.abs(Number(text)) >= sentinel;
}
