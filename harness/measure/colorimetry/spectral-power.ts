/** Spectral irradiance over evenly spaced wavelengths, dark subtracted. */
export interface SpectralPower {
  /** Wavelength of the first value, and from value to value, m. */
  readonly from: number;
  readonly step: number;
  /** W/m³: a thousand millionth of it is W/(m² nm). */
  readonly values: Float64Array;
}

/** What is known of how it was measured. */
export interface SpectralQuality {
  /** Full width at half maximum of what a single wavelength is shown as, m; absent where the instrument corrects it. */
  readonly bandwidth?: number;
  /** Standard uncertainty of the wavelengths, m, k = 1. */
  readonly standardWavelength?: number;
  /** Standard uncertainty of x and y each by its certificate, k = 1. */
  readonly standardXy?: number;
}
