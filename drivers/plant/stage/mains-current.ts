/**
 * Waveform of the mains current over the mains' angle, scaled so that with a voltage of sin(angle) it brings a mean
 * power of 1. A rectifier with a large capacitor conducts only while |sin| is above `conduction`; a corrector draws a
 * sine with a little third harmonic (in phase, relative to the fundamental).
 */
export function mainsShape(conduction: number, thirdHarmonic: number): (angle: number) => number {
  if (conduction <= 0) {
    return (angle) => 2 * (Math.sin(angle) + thirdHarmonic * Math.sin(3 * angle));
  }
  // Mean of (sin - c) sin over the conducting angles a..pi-a, twice a period.
  const a = Math.asin(conduction);
  const mean =
    ((Math.PI - 2 * a) / 2 + Math.sin(2 * a) / 2 - 2 * conduction * Math.cos(a)) / Math.PI;
  return (angle) => {
    const s = Math.sin(angle);
    return (Math.sign(s) * Math.max(0, Math.abs(s) - conduction)) / mean;
  };
}
