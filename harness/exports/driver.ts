/**
 * `evenfall/driver`: all that a driver outside of Evenfall needs. The ports say what each kind of instrument promises, the
 * bench errors how it says that it cannot, and the conformance suite holds a driver to both.
 */
export type { Candidate, ConformanceResult, Kind } from '../../drivers/conformance/conformance.ts';
export { conformance } from '../../drivers/conformance/conformance.ts';
export type { DriverContext, OpenInstrument } from '../../drivers/driver.ts';
export type { DriverClock } from '../../drivers/driver-clock.ts';
export { RealClock } from '../../drivers/real-clock.ts';
export type { SendListener } from '../../drivers/sent-log.ts';
export type { BenchErrorKind, LampFailureManner } from '../bench/errors.ts';
export { BenchError, benchErrorKinds, isBenchError, LampFailure } from '../bench/errors.ts';
export type { Answered, Heard } from '../bench/heard.ts';
export type { Lamp, LampChannel } from '../bench/lamp.ts';
export type {
  Acquisition,
  Call,
  Camera,
  Chamber,
  ChamberReading,
  Clock,
  ColourSensor,
  Departure,
  Digitiser,
  DigitiserCapabilities,
  FrameShape,
  Identity,
  InputSetup,
  Instrument,
  LampLink,
  LampTarget,
  PowerSwitch,
  RawCapture,
  RawMessage,
  Reply,
  SelfReport,
  Spectrometer,
  Spectrum,
  Supply,
  SupplyReading,
  SwitchReading,
  Thermometer,
  Unsaid,
} from '../bench/ports.ts';
export type { Rig, RigInstrument, Wire } from '../bench/rig.ts';
export type { CameraFrame, SensorReading } from '../measure/observation.ts';
export { expectConformance } from './expect-conformance.ts';
