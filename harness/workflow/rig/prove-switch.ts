import { sleep } from '../../../drivers/real-clock.ts';
import type { LampLink, OpenBench } from '../../bench/ports.ts';
import type { Rig } from '../../bench/rig.ts';
import { callOn } from '../../run/condition/stimulus.ts';
import { switchOf } from '../../run/power/lamp-power.ts';
import { firstAnswer, switchError } from '../../run/power/switch-watch.ts';

/** A lamp with power answers within this, s. */
const answerTime = 1;

/**
 * Opens the switch of a rig whose lamp has just answered, and asks again: a lamp that still answers is fed past the switch, and
 * neither a power cycle nor the safe state would be one. What was found, in a clause; null where the rig has no switch or nothing
 * can tell. Rejects with BenchError `refused` where the lamp answers. The lamp is left without power.
 */
export async function proveSwitch(
  bench: OpenBench,
  rig: Rig,
  signal: AbortSignal,
): Promise<string | null> {
  const relay = switchOf(bench, rig);
  const livesOn = rig.switch?.livesOn ?? null;
  if (!relay || livesOn === null) return null;
  const links = [...bench.instruments.values()].filter(isAskable);
  if (links.length === 0) return null;
  const call = callOn({ rig, signal }, relay.name);
  await relay.output(false, call);
  await sleep(livesOn, signal);
  const answered = await firstAnswer(links, { signal, deadline: answerTime });
  if (answered === null) return `the lamp is silent ${livesOn} s after it opens`;
  throw switchError(
    relay.name,
    `${relay.name}: it was switched off ${livesOn} s before, but the lamp answers on ${answered}`,
  );
}

function isAskable(instrument: { readonly kind: string }): instrument is LampLink {
  if (instrument.kind !== 'lamp-link') return false;
  return (instrument as LampLink).whoIsLamp !== undefined;
}
