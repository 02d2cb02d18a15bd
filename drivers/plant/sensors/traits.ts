/** What is special about this plant's instruments beyond the wiring in the rig file. */
export interface SensorTraits {
  /** Calibration errors are drawn as this multiple of the stated standard uncertainties (1; 0 for ideal instruments). */
  calibrationSpread: number;
  /** Noise as a multiple of the stated one. */
  noise: number;
}

/** Instruments that are what their certificates say. */
export const healthySensors: SensorTraits = { calibrationSpread: 1, noise: 1 };
