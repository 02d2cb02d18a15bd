import type { LampProperty } from '../bench/lamp-properties.ts';
import type { Dimension } from '../units/unit.ts';

/** What a lamp must say of itself. SI. */
export interface ReportExpectation {
  /**
   * A value; or by how much more than it said before: a figure, the time that has passed since, or the time in which it was
   * commanded to be lit since.
   */
  readonly against: 'value' | 'before' | 'elapsed' | 'lit-time';
  /** 0 where it follows from the condition. */
  readonly value: number;
  readonly tolerance: number;
  /** The tolerance is a ratio of the value. */
  readonly relative: boolean;
  readonly dimension: Dimension;
  /** As the spec writes it. */
  readonly text: string;
}

/** What a lamp is asked, and what it must say. */
export interface LampQuestion {
  readonly property: LampProperty;
  readonly expect?: ReportExpectation;
}
