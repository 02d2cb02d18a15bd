import type { LinkInput } from './firmware.ts';

/** What a build may export for the lamp to call. */
export type PortEntry =
  | 'lamp_init'
  | 'lamp_main'
  | 'lamp_tick'
  | 'lamp_receive_console'
  | 'lamp_receive_dali'
  | 'lamp_dali_bus'
  | 'lamp_receive_dmx_break'
  | 'lamp_receive_dmx'
  | 'lamp_dmx_lost'
  | 'lamp_receive_datagram'
  | 'lamp_power_fail'
  | 'lamp_framing_error';

/** The exported function of lamp-port.h that an input belongs to, and what it is called with. */
export function entryOf(input: LinkInput): readonly [PortEntry, ...number[]] {
  if ('framingError' in input && input.framingError)
    return ['lamp_framing_error', input.link === 'console' ? 0 : 2, input.byte];
  if (input.link === 'console') return ['lamp_receive_console', input.byte];
  if (input.link === 'dmx') {
    if (input.event === 'break') return ['lamp_receive_dmx_break'];
    return input.event === 'lost' ? ['lamp_dmx_lost'] : ['lamp_receive_dmx', input.byte];
  }
  if (input.link === 'supply') return ['lamp_power_fail'];
  if (input.link === 'sacn') return ['lamp_receive_datagram', input.datagram.length];
  if (!('frame' in input)) return ['lamp_dali_bus', input.powered ? 1 : 0];
  const word = input.frame.reduce((sum, byte) => (sum << 8) | byte, 0);
  return ['lamp_receive_dali', word, 8 * input.frame.length];
}
