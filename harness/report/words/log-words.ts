import type { FirmwareLine } from '../../record/firmware-lines.ts';

/** `12.345678 s  fade done`: microseconds, as lamp_time_us() counts. */
export function logLineText({ at, text, solo }: FirmwareLine): string {
  return `${logInstant(at)}  ${solo === null ? '' : `[${solo} alone] `}${text}`;
}

export function logInstant(at: number): string {
  return `${at.toFixed(6)} s`;
}
