/** Line timing of ANSI E1.11, s: 250 kbit/s, 11 bits a slot; break and mark as senders usually make them. */
export const slotTime = 44e-6;
export const breakTime = 176e-6;
export const markAfterBreak = 12e-6;
/** Frames a second that our senders make; 512 slots allow 44. */
export const frameRate = 40;

/** Break and mark of a frame, s. */
export interface FrameTiming {
  readonly break: number;
  readonly mark: number;
}

export const usualTiming: FrameTiming = { break: breakTime, mark: markAfterBreak };

/** Seconds of a frame from the start of its break to the end of its last slot. */
export function frameTime(slots: number, timing: FrameTiming = usualTiming): number {
  return timing.break + timing.mark + (slots + 1) * slotTime;
}
