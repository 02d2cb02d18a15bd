import type { Chart, Line } from '../evidence.ts';
import type { ChannelFade } from '../features/fade/channel-fades.ts';

/** One row a channel: the ramp from start to arrival. */
export function arrivalsChart(found: readonly ChannelFade[]): Chart {
  const lines = found.map(({ channel, fade }, index): Line => {
    const { start, end } = fade.fit;
    return { name: channel, role: 'measured', x: [start, end], y: [index + 1, index + 1] };
  });
  const [first] = found;
  return {
    kind: 'arrivals',
    title: 'Start and arrival of each channel',
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'channel', unit: '1', scale: 'linear' },
    lines,
    marks: first
      ? [
          { at: first.fade.commanded.from, label: 'commanded start' },
          { at: first.fade.commanded.to, label: 'commanded end' },
        ]
      : [],
  };
}
