/** One thermal pole from the LED board to the air. */
export interface ThermalTraits {
  /** degrees Celsius */
  ambient: number;
  /** Temperature at which the emitters have their nominal light, degrees Celsius. */
  reference: number;
  /** K/W */
  resistance: number;
  /** s */
  timeConstant: number;
}
