import { highestPrimary, mostPrimaries } from '../../dali/frame.ts';
import { colourOpcode } from '../../dali/opcodes.ts';
import type { GearState } from './gear-state.ts';

/** "No change" in a 16 bit colour value; it takes the place of a value that waits. */
const wideMask = 65535;

/** Whether it is of device type 8: it mixes whites or colours, or has few enough channels for primaries. */
export function hasColour({ whites, colours, channels }: GearState): boolean {
  return whites !== null || colours.length > 0 || channels.length <= mostPrimaries;
}

/** Commands and queries of colour control gear, after ENABLE DEVICE TYPE 8. Returns an answer or null. IEC 62386-209. */
export function colourCommand(gear: GearState, code: number): number | null {
  if (!hasColour(gear)) return null;
  const value = (gear.dtr1 << 8) | gear.dtr0;
  switch (code) {
    case colourOpcode.activate:
      gear.activate();
      return null;
    case colourOpcode.setTemperature:
      gear.temporary = { primaries: new Map(), ...(value !== wideMask && { mirek: value }) };
      return null;
    case colourOpcode.stepCooler:
    case colourOpcode.stepWarmer:
      step(gear, code === colourOpcode.stepWarmer ? 1 : -1);
      return null;
    case colourOpcode.setPrimary:
      setPrimary(gear, value);
      return null;
    case colourOpcode.setRgb:
      setColours(gear, 0);
      return null;
    case colourOpcode.setWaf:
      setColours(gear, 3);
      return null;
    case colourOpcode.storeTemperatureLimit:
      storeLimit(gear, value);
      return null;
    case colourOpcode.queryStatus:
      return (
        (gear.outOfRange ? 0x02 : 0) |
        (gear.colour === 'temperature' ? 0x20 : 0) |
        (gear.colour === 'primaries' ? 0x40 : 0) |
        (gear.colour === 'rgbwaf' ? 0x80 : 0)
      );
    case colourOpcode.queryTypeFeatures:
      // Bit 1: colour temperature; bits 2 to 4: number of primaries; bits 5 to 7: of red, green, blue, … From memory.
      return (
        (gear.whites ? 0x02 : 0) |
        (Math.min(mostPrimaries, gear.channels.length) << 2) |
        (gear.colours.length << 5)
      );
    case colourOpcode.queryFeatures:
      // Bit 0: a waiting colour starts with the next level. From memory.
      return 0x01;
    case colourOpcode.queryValue:
      return colourValue(gear);
    default:
      return null;
  }
}

function setPrimary(gear: GearState, value: number): void {
  if (gear.dtr2 >= Math.min(mostPrimaries, gear.channels.length)) return;
  delete gear.temporary.mirek;
  if (gear.temporary.rgbwaf) gear.temporary = { primaries: new Map() };
  const primary = gear.traits.primary(gear.dtr2);
  if (value === wideMask) gear.temporary.primaries.delete(primary);
  else gear.temporary.primaries.set(primary, value / highestPrimary);
}

/** Highest dim level of a colour of RGBWAF; 255 is MASK. */
const highestColour = 254;

/** DTR0, DTR1 and DTR2 are levels of red, green and blue (from colour 0 on), or of white, amber and free colour (from 3 on). */
function setColours(gear: GearState, from: 0 | 3): void {
  if (gear.colours.length === 0) return;
  if (!gear.temporary.rgbwaf) gear.temporary = { primaries: new Map(), rgbwaf: true };
  for (const [index, level] of [gear.dtr0, gear.dtr1, gear.dtr2].entries()) {
    const channel = gear.colours[from + index];
    if (channel === undefined) continue;
    if (level > highestColour) gear.temporary.primaries.delete(channel);
    else gear.temporary.primaries.set(channel, level / highestColour);
  }
}

/** At once, whatever the fade time. IEC 62386-209 11.3.4, from memory. */
function step(gear: GearState, mireks: number): void {
  if (gear.colour !== 'temperature') return;
  gear.temporary = { mirek: gear.mirek + mireks, primaries: new Map() };
  gear.activate(0);
}

/** DTR2 0 coolest, 1 warmest, 2 and 3 the physical limits, which are fixed here. Held within the physical ones. */
function storeLimit({ registers, factory, dtr2 }: GearState, value: number): void {
  const held = Math.min(factory.warmest, Math.max(factory.coolest, value));
  if (dtr2 === 0) registers.coolest = Math.min(held, registers.warmest);
  if (dtr2 === 1) registers.warmest = Math.max(held, registers.coolest);
}

/** DTR0 chooses; the high byte is the answer, the low byte lands in DTR0. Selectors 3 to 8 from memory. */
function colourValue(gear: GearState): number {
  const { dtr0 } = gear;
  const primary = dtr0 >= 3 && dtr0 <= 8 ? gear.light.target.intensities[dtr0 - 3] : undefined;
  const values = new Map([
    [2, gear.colour === 'temperature' ? gear.traits.toldMirek(gear.mirek) : wideMask],
    [128, gear.registers.coolest],
    [129, gear.factory.coolest],
    [130, gear.registers.warmest],
    [131, gear.factory.warmest],
  ]);
  const value =
    primary === undefined ? (values.get(dtr0) ?? wideMask) : Math.round(primary * highestPrimary);
  gear.dtr0 = value & 0xff;
  gear.dtr1 = value >> 8;
  return value >> 8;
}
