import {
  BenchError,
  type BenchErrorKind,
  benchErrorKinds,
  LampFailure,
} from '../harness/bench/errors.ts';
import { plainLine } from '../harness/files/plain-text.ts';

/** How much of what a driver throws an error shows, characters. */
const shown = 200;

/**
 * What a driver threw, as the engine knows it. A driver of the user's own cannot import our classes: its errors are known
 * by `kind` (one of the closed list) or, for a failure of the lamp, by the name `LampFailure`. Anything else, an Error, a
 * text or nothing at all, is the bench's fault too.
 *
 * @param cancelled whether the caller called it off: nobody else can
 */
export function driverError(
  thrown: unknown,
  {
    name,
    call,
    cancelled,
  }: { readonly name: string; readonly call: string; readonly cancelled: boolean },
): BenchError | LampFailure {
  if (thrown instanceof LampFailure) return thrown;
  const { kind, name: type, message, at } = partsOf(thrown);
  if (thrown instanceof BenchError && (thrown.kind !== 'cancelled' || cancelled)) return thrown;
  if (type === 'LampFailure')
    return new LampFailure(said(message, thrown), typeof at === 'number' ? at : undefined, {
      cause: thrown,
    });
  const known = benchErrorKinds.find((one) => one === kind);
  if (known && (known !== 'cancelled' || cancelled))
    return new BenchError(known, name, named(name, said(message, thrown)), { cause: thrown });
  return failed('closed', name, `its driver failed in ${call}: ${said(message, thrown)}`, thrown);
}

/** A bench error of a driver that did not keep the promises of its port. */
export function failed(
  kind: BenchErrorKind,
  name: string,
  why: string,
  cause?: unknown,
): BenchError {
  return new BenchError(kind, name, `${name}: ${why}`, { cause });
}

function partsOf(thrown: unknown): Readonly<Record<'kind' | 'name' | 'message' | 'at', unknown>> {
  const parts = (typeof thrown === 'object' && thrown !== null ? thrown : {}) as Record<
    string,
    unknown
  >;
  const { kind, name, message, at } = parts;
  return { kind, name, message, at };
}

function said(message: unknown, thrown: unknown): string {
  if (typeof message === 'string' && message.trim() !== '')
    return plainLine(message).slice(0, shown);
  if (thrown === undefined || thrown === null || thrown === '')
    return `it threw ${thrown === '' ? 'an empty text' : String(thrown)}`;
  return plainLine(typeof thrown === 'string' ? thrown : asText(thrown)).slice(0, shown);
}

function asText(thrown: unknown): string {
  try {
    return JSON.stringify(thrown) ?? typeof thrown;
  } catch {
    return typeof thrown;
  }
}

function named(name: string, message: string): string {
  return message.startsWith(name) ? message : `${name}: ${message}`;
}
