import type { RunRecord } from '../../record/run-record.ts';

/** A run's event as this room needs to see it: `report` knows the record, not the engine that tells of it. */
export interface TellableEvent {
  readonly event: string;
  readonly [key: string]: unknown;
}

/** Version of the lines that `--json` prints; raised when a reader could misread them. */
const eventLineVersion = 1;

/**
 * One event of a run as one line of JSON. Raw samples stay out (they are in the run's folder), and guesses of the time left; and the record of a
 * whole run is told by its id, verdict and totals.
 */
export function renderEventLine(event: TellableEvent): string {
  const line: Record<string, unknown> = { version: eventLineVersion };
  for (const [key, value] of Object.entries(event)) {
    if (key === 'captures' || key === 'expected') continue;
    line[key] = key === 'record' ? runDigest(value as RunRecord) : value;
  }
  // Written as an escape it is the same text, and no job runner takes it for a command.
  return `${JSON.stringify(line).replaceAll('##[', '#\\u0023[')}\n`;
}

/** The last line of a run that is stored: where it is, as a command takes it. */
export function renderStoredLine(folder: string): string {
  return renderEventLine({ event: 'run-stored', folder });
}

function runDigest({ id, verdict, ended, seed, lamp, rig, totals }: RunRecord): object {
  return { id, verdict, ended, seed, lamp: lamp.name, build: lamp.build, rig: rig.name, totals };
}
