import type { Wire } from '../../../harness/bench/rig.ts';
import type { Epoch } from '../lamp-state.ts';
import type { Contribution } from '../modulator/gate-mean.ts';
import {
  analogueCurrent,
  constantLight,
  lightContribution,
  type Tristimulus,
} from '../optics/channel-light.ts';
import type { Plant } from '../plant.ts';
import { GatedSource, type Mixture } from './gated-source.ts';
import { PinSource } from './pin.ts';
import { MainsCurrent, MainsVoltage, SupplyCurrent, SupplyVoltage } from './power-sources.ts';
import type { SignalSource } from './signal-source.ts';

/** The signal behind a wire of the rig; `channel` is the index of a channel current's channel. */
export function sourceOf(plant: Plant, wire: Wire, channel: number | null): SignalSource | null {
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
  return new GatedSource(plant, (epoch) => lightMixture(plant, epoch, component, only));
}

function lightMixture(
  { lamp, model }: Plant,
  epoch: Epoch,
  component: keyof Tristimulus,
  only: number | null,
): Mixture {
  const channels = lamp.channels.map((_, index) =>
    only === null || only === index
      ? lightContribution(lamp, model, epoch, index, component)
      : null,
  );
  return { channels, constant: constantLight(lamp, model, epoch, component) };
}

/** A: what a probe in the wire of a channel's LEDs sees. */
export function channelCurrent(plant: Plant, channel: number): GatedSource {
  const { lamp, model } = plant;
  const count = lamp.channels.length;
  const before = (channel + count - 1) % count;
  return new GatedSource(plant, (epoch) => {
    const channels: (Contribution | null)[] = lamp.channels.map(() => null);
    const { crosstalk } = model.stage;
    if (crosstalk > 0) channels[before] = currentContribution(plant, epoch, before, crosstalk);
    channels[channel] = currentContribution(plant, epoch, channel, 1);
    return { channels, constant: epoch.rail > 0 ? model.stage.leakage[channel]! : 0 };
  });
}

function currentContribution(
  { lamp, model }: Plant,
  epoch: Epoch,
  index: number,
  factor: number,
): Contribution {
  const { current } = epoch.channels[index]!;
  return {
    on: factor * current,
    analogue: (drive) => factor * analogueCurrent(lamp, model, index, current, drive),
  };
}

/** A that the stages draw from the supply's terminals, before the input filter. */
function supplyLoad(plant: Plant): GatedSource {
  const { lamp, model } = plant;
  return new GatedSource(plant, (epoch) => {
    const volts = Math.max(epoch.source, 1e-3);
    const channels = epoch.channels.map(({ current, voltage }) => {
      const watts = (amps: number): number =>
        amps * (model.stage.kind === 'linear' ? epoch.rail : voltage);
      const draw = (amps: number): number => watts(amps) / (model.supply.efficiency * volts);
      return { on: draw(current), analogue: (drive: number) => draw(drive * current) };
    });
    const constant = epoch.rail > 0 ? model.supply.standby / volts : 0;
    return { channels: channels.slice(0, lamp.channels.length), constant };
  });
}
