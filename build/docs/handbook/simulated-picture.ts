import type { Metric } from '../../../harness/measure/metric.ts';
import type { Outcome } from '../../../harness/measure/outcome.ts';
import { chartPicture } from '../../../harness/report/pictures/chart-picture.ts';
import { diceOf } from '../../../tests/coverage/dice.ts';
import { disturbances } from '../../../tests/coverage/disturbances.ts';
import { realise } from '../../../tests/coverage/realise.ts';
import { scenes } from '../../../tests/coverage/scenes.ts';

/** What the metric says of the scene that its coverage is told from, with white noise; `null` without a scene. */
export function simulatedOutcome(metric: Metric): Outcome | null {
  const make = Object.entries(scenes).find(([name]) => name.split(' ')[0] === metric.id)?.[1];
  if (!make) return null;
  const dice = diceOf(1);
  const { observation } = realise(metric, make(dice), disturbances.white, dice);
  return metric.compute(observation);
}

/** A picture of a report, by itself: with the pens and inks of the page that it stands on otherwise. */
export function standalonePicture(chart: Parameters<typeof chartPicture>[0]): string {
  const look = { width: 660, height: 240, id: 'picture' };
  const markup = chartPicture(chart, look).markup.toString().trim();
  return `${markup.replace('<svg ', '<svg xmlns="http://www.w3.org/2000/svg" ').replace('>', `><style>${style}</style>`)}\n`;
}

const style = `
svg{background:#fffefb;--ink:#24221e;--soft:#635f56;--hair:#e2ddd0;--inside:#cfdcc0;--p0:#1f4e79;--p1:#9a3412;--p2:#3d6318;--p3:#6b21a8;--p4:#0b6b66;--p5:#82580a;--fail:#a1260d}
@media (prefers-color-scheme:dark){svg{background:#211f1c;--ink:#e9e4d8;--soft:#a9a294;--hair:#3a3731;--inside:#415038;--p0:#8dbde8;--p1:#f0a27c;--p2:#abcf80;--p3:#d3a9f5;--p4:#7fd0c8;--p5:#dfb45c;--fail:#ff9a80}}
text{font:11.5px sans-serif;fill:var(--soft)}
.axis,.fit,.ideal,.mark-line{fill:none;stroke:var(--soft)}
.tick path{stroke:var(--hair)}
.minor{stroke:var(--soft);stroke-width:.7}
.mark-line,.fit{stroke-dasharray:2 3}
.ideal{stroke-dasharray:5 4}
.mark-word{fill:var(--ink)}
.measured,.limit,.target{fill:none;stroke-width:1.5}
.pen-0{stroke:var(--p0);color:var(--p0)}
.pen-1{stroke:var(--p1);color:var(--p1)}
.pen-2{stroke:var(--p2);color:var(--p2)}
.pen-3{stroke:var(--p3);color:var(--p3)}
.pen-4{stroke:var(--p4);color:var(--p4)}
.pen-5{stroke:var(--p5);color:var(--p5)}
.band{fill:currentColor;fill-opacity:.25;stroke-width:.9}
.dots{stroke-width:4.5;stroke-linecap:round}
.commanded{fill:none;stroke:var(--ink);stroke-width:2;stroke-dasharray:7 4}
.limit{stroke:var(--fail)}
.target{stroke:var(--ink)}
.corridor{fill:var(--inside);fill-opacity:.75;stroke:none}
.cell{fill:var(--p0)}
.cell.seen{fill:var(--fail)}
`.replaceAll('\n', '');
