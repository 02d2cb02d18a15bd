import type { ColourReading, Frame } from '../../measure/observation.ts';
import type { PlannedFrame } from '../../plan/captures/planned-capture.ts';
import type { RawRecord } from './raw-record.ts';

/** Everything that was recorded in one pass, or in all passes of a condition. */
export interface PassRecords {
  readonly waveforms: RawRecord[];
  readonly colour: ColourReading[];
  readonly frames: FrameRecord[];
}

export interface FrameRecord {
  readonly capture: Pick<PlannedFrame, 'id' | 'of' | 'wire' | 'taken' | 'file'>;
  readonly frame: Frame;
}
