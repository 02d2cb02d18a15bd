import type { SpectralPower } from '../../measure/colorimetry/spectral-power.ts';
import type { ColourReading, Frame } from '../../measure/observation.ts';
import type { PlannedFrame } from '../../plan/captures/planned-capture.ts';
import type { RawRecord } from './raw-record.ts';

/** Everything that was recorded in one pass, or in all passes of a condition. */
export interface PassRecords {
  readonly waveforms: RawRecord[];
  /** No claim asked for them: evidence of what the bench did. */
  readonly alongside: RawRecord[];
  readonly colour: RecordedColour[];
  readonly frames: FrameRecord[];
}

/** The first reading of a capture keeps the spectrum that it was computed from. */
export type RecordedColour = ColourReading & { readonly spectrum?: SpectralPower };

export interface FrameRecord {
  readonly capture: Pick<PlannedFrame, 'id' | 'of' | 'wire' | 'taken' | 'file'>;
  readonly frame: Frame;
}
