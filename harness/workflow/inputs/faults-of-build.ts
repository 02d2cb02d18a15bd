import { findFault } from '../../../drivers/plant/faults/faults.ts';
import { isOfNetworkNode, partsOfFault } from '../../../drivers/plant/faults/parts-of-fault.ts';
import type { FirmwareImage } from '../../../drivers/plant/firmware/firmware-image.ts';
import type { Lamp } from '../../bench/lamp.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { Complaint } from '../complaint.ts';

/**
 * Refuses seeded faults that a build of the user's cannot have, since they are defects of the firmware that is built in: claims would
 * pass as if they had been put to the test. Throws a Complaint `usage`.
 */
export function refuseFaultsOfOtherFirmware(
  faults: RunRecord['faults'],
  { name: build, takesDatagrams }: Pick<FirmwareImage, 'name' | 'takesDatagrams'>,
  lamp: Lamp,
): void {
  const others = faults
    .map(({ fault }) => fault)
    .filter((id) => {
      const known = findFault(id);
      if (!known) return false;
      return (
        partsOfFault(known, lamp).has('firmware') ||
        (takesDatagrams && isOfNetworkNode(known, lamp))
      );
    });
  if (others.length === 0) return;
  const [are, they] = others.length === 1 ? ['is a defect', 'it'] : ['are defects', 'they'];
  throw new Complaint(
    'usage',
    `--fault ${others.join(', ')} ${are} of the firmware ${takesDatagrams ? 'or the network interface ' : ''}that is built in, and ${they} cannot act in ${build}: omit --firmware or the fault. ` +
      'Defects of the hardware, the links and the supply act with every build, such as weak-channel, slow-pwm or lost-frames',
  );
}
