import { InvalidArgumentError, type Option } from 'commander';
import type { Fault } from '../../../drivers/plant/faults/fault.ts';
import { faults, findFault } from '../../../drivers/plant/faults/faults.ts';
import { didYouMean } from '../../files/did-you-mean.ts';
import { repeatedOption } from './options.ts';

/** A seeded fault at a size, in the fault's own unit. */
export interface SizedFault {
  readonly fault: string;
  readonly size: number;
}

/** `--fault linear-dimming` at its nominal size, or `--fault linear-dimming=0.5`; repeatable. */
export function faultOption(about: string): Option {
  return repeatedOption('--fault <id[=size]>', about).argParser(
    (text: string, before: readonly SizedFault[]) => [...before, sizedFault(text)],
  );
}

function sizedFault(text: string): SizedFault {
  const [id = '', given] = text.split('=');
  const { id: fault, size } = knownFault(id);
  const value = given === undefined ? size.nominal : Number(given);
  if (given !== '' && Number.isFinite(value)) return { fault, size: value };
  throw new InvalidArgumentError(
    `expected a number as size (${size.about}, in ${size.unit}), found "${given}".`,
  );
}

/** The seeded fault of an id. Throws where there is none. */
export function knownFault(id: string): Fault {
  const fault = findFault(id);
  if (fault) return fault;
  const ids = faults.map((known) => known.id);
  throw new InvalidArgumentError(
    `no such seeded fault${didYouMean(id, ids) || `; the faults are ${ids.join(', ')}`}.`,
  );
}
