import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { LightControl } from './light-control.ts';
import { SlotInput } from './slot-input.ts';
import type { FirmwareTraits } from './traits.ts';

/** The interface hands slots on at least that often while it has a source, s. */
const networkLoss = 1.25;

/** The inputs of a lamp for slots: one for both links where their settings are the same, as most lamps have it. */
export class SlotInputs {
  /** Of the lamp's own line, or of a lamp that has none but sACN. */
  readonly line: SlotInput | null;
  /** For frames of the network interface. */
  readonly network: SlotInput | null;

  constructor({ links, channels, curve }: Lamp, light: LightControl, traits: FirmwareTraits) {
    const { dmx, sacn } = links;
    const open = (link: NonNullable<typeof dmx>) =>
      new SlotInput(link, channels.length, curve, light, traits);
    const first = dmx ?? sacn;
    this.line = first ? open(first) : null;
    const alike = !dmx || !sacn || (dmx.bits === sacn.bits && dmx.onLoss === sacn.onLoss);
    // The interface hands the slots on where the lamp has those of DMX512.
    this.network = alike ? this.line : open({ ...sacn, firstSlot: dmx.firstSlot });
  }

  /** Does what the lamp file says where the line is silent. The interface tells by itself that it has lost its sources. */
  watch(now: number): void {
    const own = this.network === this.line ? null : this.network;
    const speaks = own?.heardSince(now - networkLoss) ?? false;
    // While the line speaks the interface is silent, also about the loss of its sources.
    if (!speaks) own?.forget();
    this.line?.watch(now, speaks);
  }

  /** Whether the loss of a signal still has to be watched for. */
  get watching(): boolean {
    return this.line?.watching ?? false;
  }
}
