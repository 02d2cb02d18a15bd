import type { Metric, Need } from '../../metric.ts';

/** What every metric of a colour reading reads. */
export const colourNeed: Need = { signals: ['colour'], scope: 'one' };

/** What cannot move a chromaticity: the sensor's scale (XYZ share it), the time base, the digitiser's steps. */
export const colourBlindTo: Metric['blindTo'] = ['scale', 'time-base', 'quantisation'];
