import { findFault, faults as knownFaults } from '../../../drivers/plant/faults/faults.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { Complaint } from '../complaint.ts';

/** `curve-linear` at its nominal size, or `curve-linear=0.5`. */
export function readFault(text: string): { fault: string; size: number } {
  const [id = '', size] = text.split('=');
  const fault = findFault(id);
  if (!fault) {
    const ids = knownFaults.map((known) => known.id);
    throw new Complaint(
      'usage',
      `--fault ${id}: no such seeded fault${didYouMean(id, ids) || `; there are: ${ids.join(', ')}`}`,
    );
  }
  const value = size === undefined ? fault.size.nominal : Number(size);
  if (!Number.isFinite(value) || size === '') {
    throw new Complaint(
      'usage',
      `--fault ${text}: expected a number as size (${fault.size.about}, in ${fault.size.unit}), found "${size}"`,
    );
  }
  return { fault: fault.id, size: value };
}
