import { type Covariance, sumOfCovariances } from '../measure/colorimetry/uv-covariance.ts';
import type { Evidence } from '../measure/evidence.ts';
import type { Measured, Outcome } from '../measure/outcome.ts';

/**
 * The covariance of a way in u'v', gathered while its length is assessed: what the metric knows, and half of what each error of one
 * standard uncertainty does up and half of what it does down, in its direction.
 * Source: JCGM 102:2011 6.2 (clause from memory); sensitivities by finite difference as for the length.
 */
export class WayDoubt {
  readonly #nominal: Measured;
  readonly #parts: Covariance[];

  constructor(nominal: Measured) {
    this.#nominal = nominal;
    this.#parts = nominal.way ? [nominal.way.covariance] : [];
  }

  /** The outcome under an error one way, which is counted and handed back. */
  count(moved: Outcome): Outcome {
    const { way } = this.#nominal;
    if (way && moved.measured && moved.way) {
      const [du, dv] = [moved.way.u - way.u, moved.way.v - way.v];
      this.#parts.push({ first: (du * du) / 2, second: (dv * dv) / 2, shared: (du * dv) / 2 });
    }
    return moved;
  }

  /** Both standard uncertainties and the correlation, as figures beside the value. */
  notes(): Evidence['notes'] {
    const { first, second, shared } = sumOfCovariances(this.#parts);
    if (!(first > 0 && second > 0)) return {};
    return {
      "standard-uncertainty-u'": Math.sqrt(first),
      "standard-uncertainty-v'": Math.sqrt(second),
      "correlation-u'-v'": shared / Math.sqrt(first * second),
    };
  }
}
