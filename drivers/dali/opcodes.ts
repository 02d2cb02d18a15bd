/** Opcodes of standard commands (selector bit 1). IEC 62386-102, confirmed in public texts. `n` commands are bases. */
export const opcode = {
  off: 0x00,
  up: 0x01,
  down: 0x02,
  stepUp: 0x03,
  stepDown: 0x04,
  recallMax: 0x05,
  recallMin: 0x06,
  stepDownAndOff: 0x07,
  onAndStepUp: 0x08,
  enableDapcSequence: 0x09,
  goToLastActive: 0x0a,
  goToScene: 0x10,
  reset: 0x20,
  storeActualLevel: 0x21,
  setMax: 0x2a,
  setMin: 0x2b,
  setSystemFailureLevel: 0x2c,
  setPowerOnLevel: 0x2d,
  setFadeTime: 0x2e,
  setFadeRate: 0x2f,
  setExtendedFadeTime: 0x30,
  setScene: 0x40,
  removeScene: 0x50,
  addGroup: 0x60,
  removeGroup: 0x70,
  setShortAddress: 0x80,
  enableWriteMemory: 0x81,
  queryStatus: 0x90,
  queryGearPresent: 0x91,
  queryLampFailure: 0x92,
  queryLampOn: 0x93,
  queryLimitError: 0x94,
  queryResetState: 0x95,
  queryMissingShortAddress: 0x96,
  queryVersion: 0x97,
  queryDtr0: 0x98,
  queryDeviceType: 0x99,
  queryPhysicalMinimum: 0x9a,
  queryPowerFailure: 0x9b,
  queryDtr1: 0x9c,
  queryDtr2: 0x9d,
  queryActualLevel: 0xa0,
  queryMax: 0xa1,
  queryMin: 0xa2,
  queryPowerOnLevel: 0xa3,
  querySystemFailureLevel: 0xa4,
  queryFade: 0xa5,
  queryExtendedFadeTime: 0xa8,
  queryScene: 0xb0,
  queryGroupsLow: 0xc0,
  queryGroupsHigh: 0xc1,
  queryRandomHigh: 0xc2,
  queryRandomMiddle: 0xc3,
  queryRandomLow: 0xc4,
  readMemory: 0xc5,
} as const;

/** First bytes of special commands, which carry no address. IEC 62386-102; `write silently` from memory. */
export const special = {
  terminate: 0xa1,
  dtr0: 0xa3,
  initialise: 0xa5,
  randomise: 0xa7,
  compare: 0xa9,
  withdraw: 0xab,
  searchHigh: 0xb1,
  searchMiddle: 0xb3,
  searchLow: 0xb5,
  programShortAddress: 0xb7,
  verifyShortAddress: 0xb9,
  queryShortAddress: 0xbb,
  enableDeviceType: 0xc1,
  dtr1: 0xc3,
  dtr2: 0xc5,
  writeMemory: 0xc7,
  writeMemorySilently: 0xc9,
} as const;

/** Opcodes of colour control gear after `enable device type 8`. IEC 62386-209. */
export const colourOpcode = {
  activate: 0xe2,
  setTemperature: 0xe7,
  stepCooler: 0xe8,
  stepWarmer: 0xe9,
  setPrimary: 0xea,
  setRgb: 0xeb,
  setWaf: 0xec,
  storeTemperatureLimit: 0xf2,
  storeFeatures: 0xf3,
  queryFeatures: 0xf7,
  queryStatus: 0xf8,
  queryTypeFeatures: 0xf9,
  queryValue: 0xfa,
} as const;

/** Configuration commands count only when they come twice within 100 ms: 0x20 to 0x81, and the DT8 stores. */
export function needsTwice(code: number, deviceType = false): boolean {
  return (
    (code >= 0x20 && code <= 0x81) ||
    (deviceType &&
      (code === colourOpcode.storeTemperatureLimit || code === colourOpcode.storeFeatures))
  );
}

/** Of the special commands these two count only when they come twice. */
export function specialNeedsTwice(first: number): boolean {
  return first === special.initialise || first === special.randomise;
}

/** Whether a frame asks one gear or more for something and changes nothing by it (IEC 62386-102): it may be asked again. */
export function isPlainQuery(frame: readonly number[]): boolean {
  const [first = 0, code = 0] = frame;
  const standard = first < 0xa0 || first >= 0xfc;
  return (
    frame.length === 2 && standard && (first & 1) === 1 && code >= 0x90 && code < opcode.readMemory
  );
}

/** Answers of the lamp that move by themselves: with a fade, with the light, with what happens to it. */
const moving: readonly number[] = [
  opcode.queryStatus,
  opcode.queryLampFailure,
  opcode.queryLampOn,
  opcode.queryLimitError,
  opcode.queryResetState,
  opcode.queryPowerFailure,
  opcode.queryActualLevel,
];

/** Whether it asks for something that stays as it is until a command changes it. */
export function isSteadyQuery(frame: readonly number[]): boolean {
  return isPlainQuery(frame) && !moving.includes(frame[1] ?? 0);
}
