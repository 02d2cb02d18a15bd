import { flickerMetrics } from './flicker-metrics.ts';
import { recordLight } from './plant-rows.ts';
import { inTurn, type Row, timed } from './row.ts';

/** Light that flickers at 100 Hz, with noise. */
export function flickering(seconds: number): Float64Array {
  let state = 1;
  return Float64Array.from({ length: seconds * 20e3 }, (_, k) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return 1 + 0.2 * Math.sin((2 * Math.PI * 100 * k) / 20e3) + 1e-3 * (state / 2 ** 32 - 0.5);
  });
}

/** Cost against size: records 10 and 100 times as long, three and nine times as many channels. */
export async function growthRows(runs: number): Promise<Row[]> {
  const metrics = (seconds: number) => {
    const light = flickering(seconds);
    return () => timed(() => flickerMetrics(light.slice(), 20e3));
  };
  const rows: Row[] = [];
  for (const times of [10, 100]) {
    const measured = await inTurn(runs, metrics(2 * times), metrics(2));
    rows.push(
      grown(`flicker metrics of ${times} times as long a record`, 'a record of 2 s', measured),
    );
    const plant = await inTurn(
      runs,
      () => recordLight({ length: 2 * times }),
      () => recordLight({ length: 2 }),
    );
    rows.push(grown(`plant: a record ${times} times as long`, 'a record of 2 s', plant));
  }
  for (const channels of [3, 9]) {
    const plant = await inTurn(
      runs,
      () => recordLight({ length: 20, channels }),
      () => recordLight({ length: 20, channels: 1 }),
    );
    rows.push(grown(`plant: light of ${channels} channels`, 'light of one channel', plant));
  }
  return rows;
}

function grown(
  name: string,
  yardstick: string,
  times: { readonly figures: number[]; readonly beside: number[] },
): Row {
  return { name, unit: 's', ...times, yardstick, kind: 'cost', goal: null };
}
