/** Number -> text of the SCPI errors that the emulated instruments report. SCPI-1999 volume 2, chapter 21. */
const texts: Readonly<Record<number, string>> = {
  [-100]: 'Command error',
  [-104]: 'Data type error',
  [-108]: 'Parameter not allowed',
  [-109]: 'Missing parameter',
  [-113]: 'Undefined header',
  [-114]: 'Header suffix out of range',
  [-151]: 'Invalid string data',
  [-200]: 'Execution error',
  [-213]: 'Init ignored',
  [-221]: 'Settings conflict',
  [-222]: 'Data out of range',
  [-223]: 'Too much data',
  [-224]: 'Illegal parameter value',
  [-230]: 'Data corrupt or stale',
  [-300]: 'Device specific error',
  [-350]: 'Queue overflow',
  [-363]: 'Input buffer overrun',
  [-410]: 'Query INTERRUPTED',
  [-500]: 'Power on',
};

/** Thrown by a command; ends up in the error queue. */
export class ScpiError extends Error {
  override readonly name = 'ScpiError';
  readonly code: number;
  constructor(code: number, detail = '') {
    super(detail);
    this.code = code;
  }
}

/** An entry as `SYSTem:ERRor?` answers it: `-222,"Data out of range;70 V"`. */
export function errorEntry(code: number, detail = ''): string {
  const text = `${texts[code] ?? 'Unknown error'}${detail ? `;${detail}` : ''}`;
  return `${code},"${text.replaceAll('"', '""')}"`;
}

/** Bit of the standard event status register (IEEE 488.2, 11.5.1) that an error of this number sets. */
export function eventBit(code: number): number {
  if (code === -500) return 128;
  if (code <= -400) return 4;
  if (code <= -300) return 8;
  return code <= -200 ? 16 : 32;
}
