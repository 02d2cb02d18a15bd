import { Complaint } from '../../workflow/complaint.ts';

/** Options that only the simulated lamp can have. */
interface SimulationOptions {
  readonly fault: readonly unknown[];
  readonly firmware?: string;
  readonly against?: string;
  readonly jobs?: number;
  readonly watch?: boolean;
  readonly reuse?: boolean;
}

/** Refuses options that say nothing about the lamp on a rig. */
export function refuseSimulationOptions({
  fault,
  firmware,
  against,
  jobs,
  watch,
  reuse,
}: SimulationOptions): void {
  const simulated = [
    ...(fault.length > 0 ? ['--fault'] : []),
    ...(firmware === undefined ? [] : ['--firmware']),
    ...(against === undefined ? [] : ['--against']),
    ...(jobs === undefined ? [] : ['--jobs']),
    ...(watch ? ['--watch'] : []),
    ...(reuse ? ['--reuse'] : []),
  ];
  if (simulated.length === 0) return;
  throw new Complaint(
    'usage',
    `${simulated.join(' and ')}: only for the simulated lamp; omit with a rig of real instruments (--build names the build for the record)`,
  );
}
