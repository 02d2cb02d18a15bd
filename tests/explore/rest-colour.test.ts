import { describe, expect, it } from 'vitest';
import { restColour } from '../../harness/explore/rest-colour.ts';
import { xyToXyz } from '../../harness/measure/colorimetry/chromaticity.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

const lamp = shippedLamp('alcove-6');

/** Every channel at full light as the lamp file has it, but for one. */
function channels(change: { readonly flux?: number; readonly shift?: number } = {}) {
  return lamp.channels.map(({ lumen, xy: [x, y] }, index) => {
    const { flux = 1, shift = 0 } = index === 0 ? change : {};
    return { current: 1, light: xyToXyz({ x: x + shift, y }, flux * lumen) };
  });
}

describe('the colour of a light at rest', () => {
  it('is that of the lamp file, channel by channel', () => {
    expect(restColour(lamp, channels(), null)).toBeNull();
    expect(restColour(lamp, channels({ flux: 0.9 }), null)).toBeNull();
    expect(restColour(lamp, channels({ shift: 0.004 }), null)).toBeNull();
  });

  it('deviates where a channel is weak, or of another colour', () => {
    expect(restColour(lamp, channels({ flux: 0.8 }), null)).toMatchObject({
      what: 'light of warm at rest',
    });
    expect(restColour(lamp, channels({ shift: 0.02 }), null)).toMatchObject({
      what: 'colour of warm at rest',
    });
  });

  it('is the colour temperature that was asked for', () => {
    const cool = channels().map((own, index) =>
      index === 1 ? own : { ...own, light: xyToXyz({ x: 0.3, y: 0.3 }, 0) },
    );
    const lit = cool.map((own, index) => (index === 1 ? own : { ...own, current: 0 }));
    expect(restColour(lamp, lit, 1e6 / 6500)).toBeNull();
    expect(restColour(lamp, lit, 1e6 / 6000)).toMatchObject({ what: 'colour temperature at rest' });
  });

  it('is not told of channels that hardly give light', () => {
    const dim = channels({ flux: 0.001, shift: 0.02 }).map((own) => ({ ...own, current: 0.001 }));
    expect(restColour(lamp, dim, null)).toBeNull();
  });
});
