import type { RunRecord } from './run-record.ts';

type Artificial = Pick<RunRecord, 'faults'> & {
  readonly rig: Pick<RunRecord['rig'], 'simulated' | 'instruments'>;
};

/**
 * What of a run was not of a real lamp on a real bench, in words for every place where somebody decides: simulated
 * instruments, and each seeded fault with its size. Empty where all was real.
 */
export function artificialTexts({ rig, faults }: Artificial): string[] {
  return [
    ...simulatedText(rig),
    ...faults.map(({ fault, size }) => `seeded fault ${fault} (size ${size})`),
  ];
}

function simulatedText({ simulated, instruments }: Artificial['rig']): string[] {
  const names = simulatedInstruments({ instruments });
  if (simulated || (names.length > 0 && names.length === instruments.length)) return ['simulated'];
  return names.length > 0 ? [`simulated in part (${names.join(', ')})`] : [];
}

/** Names of the instruments that were simulated. */
export function simulatedInstruments({
  instruments,
}: Pick<RunRecord['rig'], 'instruments'>): string[] {
  return instruments.filter(({ simulated }) => simulated).map(({ name }) => name);
}
