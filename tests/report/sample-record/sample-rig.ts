import type { RunRecord } from '../../../harness/record/run-record.ts';
import { digest } from './digest.ts';

/** One instrument for each state of a calibration: valid, due soon, overdue, none. */
export function sampleRig(): RunRecord['rig'] {
  return {
    name: 'simulated bench',
    place: 'Halden Display Lighting, optics laboratory, bench 2',
    file: 'specs/rigs/simulated.rig.yaml',
    digest: digest('3'),
    simulated: true,
    ambient: 24.5,
    instruments: [
      instrument('digitiser', 'plant', '2026-03-02', '2027-03-02', 'HDL-D-118', 'valid'),
      instrument('photodiode', 'plant', '2025-12-10', '2026-12-10', 'HDL-P-042', 'due soon'),
      instrument('colour sensor', 'plant', '2025-10-01', '2026-10-01', 'HDL-C-007', 'overdue'),
      { ...instrument('supply', 'plant', '', '', '', 'valid'), calibration: null },
    ],
    notes: { 'photodiode distance': '0.50 m', 'background light': 0.02 },
  };
}

function instrument(
  name: string,
  driver: string,
  date: string,
  due: string,
  certificate: string,
  state: 'valid' | 'due soon' | 'overdue',
) {
  return {
    name,
    driver,
    simulated: true,
    identity: { maker: 'Evenfall', model: `simulated ${name}`, serial: '41', firmware: '0.1.0' },
    calibration: { date, due, certificate, state },
  };
}
