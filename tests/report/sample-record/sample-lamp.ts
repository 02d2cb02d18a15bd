import type { RunRecord } from '../../../harness/record/run-record.ts';
import { digest } from './digest.ts';
import { channels, xys } from './lamp-channels.ts';

export function sampleLamp(): RunRecord['lamp'] {
  return {
    name: 'Alcove-6',
    maker: 'Halden Display Lighting',
    build: '2.4.0-rc3',
    serial: 'A6-00017',
    channels: channels.map((channel, k) => ({ channel, xy: xys[k] ?? [0.33, 0.33] })),
    file: 'specs/lamps/alcove-6.lamp.yaml',
    digest: digest('1'),
    firmware: { kind: 'reference', name: 'reference firmware', digest: digest('2') },
  };
}
