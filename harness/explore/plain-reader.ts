import type { Lamp } from '../bench/lamp.ts';
import { type FigureOptions, readFigure } from '../files/read-figure.ts';
import type { ValueReader } from '../plan/value-reader.ts';
import type { WrittenStep } from '../plan/verbs/verb.ts';
import { findVerb, type Step } from '../plan/verbs/verbs.ts';
import type { Dimension } from '../units/unit.ts';

/** Steps as planned, read without a file around them; null where one of them cannot be for this lamp. */
export function plannedSteps(written: readonly WrittenStep[], lamp: Lamp): readonly Step[] | null {
  const reader = new PlainReader(lamp);
  const steps = written.flatMap((step) => {
    const [name = ''] = Object.keys(step);
    const read = findVerb(name)?.read(step[name], reader, () => []);
    return read ? [read as Step] : [];
  });
  return reader.issues === 0 && steps.length === written.length ? steps : null;
}

/** Reads values that no file holds: there is no place to report, and no name stands for anything. */
class PlainReader implements ValueReader {
  readonly lamp: Lamp;
  readonly lampFits = true;
  issues = 0;

  constructor(lamp: Lamp) {
    this.lamp = lamp;
  }

  at(): ValueReader {
    return this;
  }

  text(written: string | number): string {
    return String(written);
  }

  figure(written: string | number, dimension: Dimension, options: FigureOptions = {}): number {
    const read = readFigure(written, dimension, options);
    if ('value' in read) return read.value;
    this.issues++;
    return Number.NaN;
  }

  whole(written: string | number, least: number, most: number): number {
    const value = Number(written);
    if (Number.isInteger(value) && value >= least && value <= most) return value;
    this.issues++;
    return Number.NaN;
  }

  report(): void {
    this.issues++;
  }
}
