/** Parameter ids: ANSI E1.20-2010 table A-3 and E1.37-1-2012, from memory. */
export const parameter = {
  discUniqueBranch: 0x0001,
  discMute: 0x0002,
  discUnMute: 0x0003,
  queuedMessage: 0x0020,
  statusMessages: 0x0030,
  supportedParameters: 0x0050,
  deviceInfo: 0x0060,
  modelDescription: 0x0080,
  manufacturerLabel: 0x0081,
  softwareVersionLabel: 0x00c0,
  personality: 0x00e0,
  startAddress: 0x00f0,
  minimumLevel: 0x0341,
  curve: 0x0343,
  outputResponseTime: 0x0345,
  modulationFrequency: 0x0347,
  identifyDevice: 0x1000,
} as const;

/** Why a responder refuses, ANSI E1.20-2010 table A-17, from memory. */
export const nackReasons = [
  'unknown-parameter',
  'format-error',
  'hardware-fault',
  'proxy-reject',
  'write-protect',
  'unsupported-command-class',
  'data-out-of-range',
  'buffer-full',
  'packet-size-unsupported',
  'sub-device-out-of-range',
  'proxy-buffer-full',
] as const;

export type NackReason = (typeof nackReasons)[number];

/** Fields of DEVICE_INFO, ANSI E1.20-2010 10.5.1, from memory: 19 bytes. */
export interface DeviceInfo {
  readonly model: number;
  readonly category: number;
  readonly software: number;
  /** Slots that it takes. */
  readonly footprint: number;
  readonly personality: number;
  readonly personalities: number;
  readonly startAddress: number;
  readonly subDevices: number;
  readonly sensors: number;
}

const protocolVersion = 0x0100;
const infoLength = 19;

export function encodeDeviceInfo(info: DeviceInfo): number[] {
  const view = new DataView(new ArrayBuffer(infoLength));
  view.setUint16(0, protocolVersion);
  view.setUint16(2, info.model);
  view.setUint16(4, info.category);
  view.setUint32(6, info.software);
  view.setUint16(10, info.footprint);
  view.setUint8(12, info.personality);
  view.setUint8(13, info.personalities);
  view.setUint16(14, info.startAddress);
  view.setUint16(16, info.subDevices);
  view.setUint8(18, info.sensors);
  return [...new Uint8Array(view.buffer)];
}

/** Null where it is too short. */
export function decodeDeviceInfo(data: readonly number[]): DeviceInfo | null {
  if (data.length < infoLength) return null;
  const view = new DataView(Uint8Array.from(data).buffer);
  return {
    model: view.getUint16(2),
    category: view.getUint16(4),
    software: view.getUint32(6),
    footprint: view.getUint16(10),
    personality: view.getUint8(12),
    personalities: view.getUint8(13),
    startAddress: view.getUint16(14),
    subDevices: view.getUint16(16),
    sensors: view.getUint8(18),
  };
}
