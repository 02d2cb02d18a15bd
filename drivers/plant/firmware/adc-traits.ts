/** The converter at the processor's analogue inputs. */
export interface AdcTraits {
  readonly bits: number;
  /** Standard deviation of a reading, in steps. */
  readonly noise: number;
  /** When it samples: at the call, or in the middle of the last pulse of the PWM that is over by then. */
  readonly sampling: 'call' | 'mid-pulse';
}
