import type { Wire } from '../../../harness/bench/rig.ts';
import type { Tristimulus } from '../../../harness/measure/colorimetry/chromaticity.ts';
import type { ChannelState } from '../epoch.ts';
import { analogueCurrent, constantLight, lightContribution } from '../optics/channel-light.ts';
import type { Plant } from '../plant.ts';
import { type GatedPart, GatedSource } from './gated-source.ts';
import { PinSource } from './pin.ts';
import { MainsCurrent, MainsVoltage, SupplyCurrent, SupplyVoltage } from './power-sources.ts';
import type { SignalSource } from './signal-source.ts';

/** The signal behind a wire of the rig; `channel` is the index of a channel current's channel. */
export function sourceOf(
  plant: Plant,
  wire: Pick<Wire, 'signal'>,
  channel: number | null,
): SignalSource | null {
  const { simulation } = plant;
  switch (wire.signal) {
    case 'light':
      return lightSource(plant, 'Y', channel);
    case 'channel-current':
      return channel === null ? null : channelCurrent(plant, channel);
    case 'supply-current':
      return new SupplyCurrent(plant, supplyLoad(plant));
    case 'supply-voltage':
      return new SupplyVoltage(plant, new SupplyCurrent(plant, supplyLoad(plant)));
    case 'mains-voltage':
      return new MainsVoltage(plant);
    case 'mains-current':
      return new MainsCurrent(plant);
    case 'busy':
      return new PinSource(simulation.busy);
    case 'memory-write':
      return new PinSource(simulation.writing);
    case 'sync':
      return new PinSource(simulation.sync);
    case 'colour':
    case 'frame':
      return null;
  }
}

/** Illuminance (Y) or another tristimulus component of the mix, or of one channel where a sensor sees only that one. */
export function lightSource(
  plant: Plant,
  component: keyof Tristimulus,
  only: number | null = null,
): GatedSource {
  const { model } = plant;
  return new GatedSource(plant, (epoch) => {
    const seen = epoch.channels.filter((_, index) => only === null || only === index);
    const parts = seen.map((state) => {
      const { channel } = state.output;
      const contribution = lightContribution(model, epoch, channel, state.current, component);
      return { state, contribution };
    });
    return { parts, constant: constantLight(model, epoch, component) };
  });
}

/** A: what a probe in the wire of a channel's LEDs sees. */
export function channelCurrent(plant: Plant, channel: number): GatedSource {
  const { channels, stage } = plant.model;
  const before = (channel + channels.length - 1) % channels.length;
  const places = [...new Set(stage.crosstalk > 0 ? [before, channel] : [channel])];
  // In the lamp's order, as everything that is added up.
  places.sort((a, b) => a - b);
  const leakage = channels[channel]?.leakage ?? 0;
  return new GatedSource(plant, (epoch) => {
    const parts: GatedPart[] = [];
    for (const place of places) {
      const state = epoch.channels[place];
      if (state) parts.push(currentPart(state, place === channel ? 1 : stage.crosstalk));
    }
    return { parts, constant: epoch.rail > 0 ? leakage : 0 };
  });
}

function currentPart(state: ChannelState, factor: number): GatedPart {
  const { current, output } = state;
  const analogue = (drive: number) => factor * analogueCurrent(output.channel, current, drive);
  return { state, contribution: { on: factor * current, analogue } };
}

/** A that the stages draw from the supply's terminals, before the input filter. */
function supplyLoad(plant: Plant): GatedSource {
  const { stage, supply } = plant.model;
  return new GatedSource(plant, (epoch) => {
    const volts = Math.max(epoch.source, 1e-3);
    const parts = epoch.channels.map((state) => {
      const { current, voltage } = state;
      const watts = (amps: number): number =>
        amps * (stage.kind === 'linear' ? epoch.rail : voltage);
      const draw = (amps: number): number => watts(amps) / (supply.efficiency * volts);
      const analogue = (drive: number) => draw(drive * current);
      return { state, contribution: { on: draw(current), analogue } };
    });
    return { parts, constant: epoch.rail > 0 ? supply.standby / volts : 0 };
  });
}
