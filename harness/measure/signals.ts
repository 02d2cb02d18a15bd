/** What kind of record a metric reads. */
export type Signal =
  | 'light' // the mixed light on a photodiode, lx (or V where the rig has no scale)
  | 'channel-current' // one channel's LED current, A
  | 'colour' // tristimulus readings
  | 'frame' // a camera frame
  | 'supply-current' // current drawn from the supply, A
  | 'supply-voltage' // V
  | 'mains-voltage' // V
  | 'mains-current' // A
  | 'busy' // processor's busy pin, V: high while the application works
  | 'sync'; // a pin that marks the instant a command was received, V

export const signals: readonly Signal[] = [
  'light',
  'channel-current',
  'colour',
  'frame',
  'supply-current',
  'supply-voltage',
  'mains-voltage',
  'mains-current',
  'busy',
  'sync',
];
