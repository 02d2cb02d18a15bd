import { meanDoubtOfEdges } from '../signal/lone-edges.ts';
import type { Waveform } from '../waveform.ts';
import { isDisturbed } from './disturbed-waveform.ts';

/**
 * What pulses between samples leave open that may be instants in the mean of a waveform, standard uncertainty in its unit. Errors that were
 * given to the record do not hide its edges.
 */
export function edgeDoubt(waveform: Waveform): number {
  const recorded = isDisturbed(waveform) ? waveform.recorded : waveform;
  return recorded.means ? 0 : meanDoubtOfEdges(recorded.samples);
}
