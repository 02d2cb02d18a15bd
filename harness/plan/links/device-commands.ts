/** What a control device says, or is told, in a frame of 24 bits. IEC 62386-103, from memory. */
export interface DeviceCommand {
  /** `event`: of an instance; `device` and `instance`: a command to either; `special`: to all, with a byte. */
  readonly kind: 'event' | 'device' | 'instance' | 'special';
  /** Opcode, instance byte of a special command, or event information. */
  readonly code: number;
  /** Largest `value`; absent where the command takes none. */
  readonly highest?: number;
  /** Counts only when it comes twice within 100 ms. */
  readonly twice?: true;
  /** Control devices answer it. */
  readonly asks?: true;
}

const event = (code: number): DeviceCommand => ({ kind: 'event', code });
const twice = (kind: 'device' | 'instance', code: number): DeviceCommand => ({
  kind,
  code,
  twice: true,
});
const query = (kind: 'device' | 'instance', code: number): DeviceCommand => ({
  kind,
  code,
  asks: true,
});
const register = (code: number): DeviceCommand => ({ kind: 'special', code, highest: 255 });

/** Commands of IEC 62386-103 and events of a push button (IEC 62386-301), from memory. */
export const deviceCommands: Readonly<Record<string, DeviceCommand>> = {
  'device-event': { kind: 'event', code: 0, highest: 1023 },
  'button-released': event(0b0000),
  'button-pressed': event(0b0001),
  'button-short-press': event(0b0010),
  'button-double-press': event(0b0101),
  'button-long-press-start': event(0b1001),
  'button-long-press-repeat': event(0b1011),
  'button-long-press-stop': event(0b1100),
  'button-free': event(0b1110),
  'button-stuck': event(0b1111),
  'identify-device': twice('device', 0x00),
  'reset-device': twice('device', 0x10),
  'enable-application-controller': twice('device', 0x16),
  'disable-application-controller': twice('device', 0x17),
  'start-quiescent-mode': twice('device', 0x1d),
  'stop-quiescent-mode': twice('device', 0x1e),
  'query-device-status': query('device', 0x30),
  'query-device-version': query('device', 0x34),
  'query-number-of-instances': query('device', 0x35),
  'enable-instance': twice('instance', 0x62),
  'disable-instance': twice('instance', 0x63),
  'query-instance-type': query('instance', 0x80),
  'query-input-value': query('instance', 0x8c),
  'device-dtr0': register(0x30),
  'device-dtr1': register(0x31),
  'device-dtr2': register(0x32),
};

export const highestDevice = 63;
export const highestInstance = 31;

/** The instance byte of a command that goes to the device itself. */
const deviceItself = 0xfe;
/** The address byte of special commands. */
const toAll = 0xc1;

/** Where a frame of 24 bits comes from or goes to: short address 0..63 or all; instance 0..31. */
export interface DevicePlace {
  readonly device: number | 'broadcast';
  readonly instance: number;
}

/**
 * The three bytes. The lowest bit of the first one is 1 in a command and 0 in an event; events go by device and instance:
 * `0AAAAAA0 1IIIIIdd dddddddd`.
 */
export function deviceFrame(
  { kind, code }: DeviceCommand,
  { device, instance }: DevicePlace,
  value: number,
): readonly [number, number, number] {
  const to = device === 'broadcast' ? 0xff : (device << 1) | 1;
  switch (kind) {
    case 'event': {
      const information = code + value;
      return [to & 0xfe, 0x80 | (instance << 2) | (information >> 8), information & 0xff];
    }
    case 'device':
      return [to, deviceItself, code];
    case 'instance':
      return [to, instance, code];
    case 'special':
      return [toAll, code, value];
  }
}
