import type { Lamp } from '../../../harness/bench/lamp.ts';
import { special } from '../../dali/opcodes.ts';
import { plainBoard } from '../firmware/board.ts';
import type { LampHardware } from '../firmware/firmware.ts';
import { ReferenceFirmware } from '../firmware/reference.ts';
import { healthyFirmware } from '../firmware/traits.ts';
import type { OtherGear } from './dali-bus.ts';

/** Another lamp of the same kind on the bus, at the same short address: it answers, and its light is not seen. */
export function secondGear(lamp: Lamp, serial: number): OtherGear {
  const firmware = new ReferenceFirmware(lamp, healthyFirmware, serial);
  let now = 0;
  let answer: number | null = null;
  firmware.start(
    hardwareWithoutLight(
      lamp,
      () => now,
      (byte) => (answer = byte),
    ),
  );
  const take: OtherGear = (frame, at) => {
    now = at;
    answer = null;
    firmware.receive({ link: 'dali', frame: [...frame] });
    return answer;
  };
  // It has been commissioned before: its random address is one of its own.
  for (const command of [special.initialise, special.randomise])
    for (let twice = 0; twice < 2; twice++) take([command, 0], 0);
  take([special.terminate, 0], 0);
  return take;
}

function hardwareWithoutLight(
  { channels, supply }: Lamp,
  now: () => number,
  answered: (byte: number) => void,
): LampHardware {
  const nothing = (): void => {};
  return {
    ...plainBoard,
    channels: channels.length,
    tickPeriod: 1e-3,
    now,
    setModulator: nothing,
    setDrive: nothing,
    setPeakCurrent: nothing,
    setOffTime: nothing,
    sendByte: (link, byte) => {
      if (link === 'dali') answered(byte);
    },
    supplyVoltage: () => supply.nominal,
    supplyPower: () => 0,
    suppliedEnergy: () => 0,
    temperature: () => 25,
    convert: () => 0,
    setBusy: nothing,
    charge: nothing,
    memory: new Uint8Array(256).fill(0xff),
    log: nothing,
    probe: nothing,
    wroteMemory: nothing,
    memoryBusy: () => false,
  };
}
