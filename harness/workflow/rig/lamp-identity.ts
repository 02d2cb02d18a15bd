import type { Identity } from '../../bench/ports.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { fitOf, modelFit, serialFit, versionFit } from './identity-fit.ts';

/** What a lamp said of itself on one link; null where it answered but could not say, with the trouble where it did not. */
export interface LampWords {
  readonly link: string;
  readonly identity: Identity | null;
  readonly trouble: string | null;
  /** The rig file says who is to answer on this link: it has been compared with that already. */
  readonly expected: boolean;
}

/** Who the run says is tested. */
export interface TestedLamp {
  readonly model: string;
  readonly build?: string | undefined;
  readonly serial?: string | undefined;
  /** File of the build, for the programs that put it into the lamp. */
  readonly firmware?: string | undefined;
}

export interface LampMatch {
  /** Sentences: the lamp is another one than the run would say. */
  readonly contradictions: readonly string[];
  /** What could not be compared, or does not fit altogether. */
  readonly deviations: RunRecord['deviations'];
}

/** Holds what the lamp says of itself against lamp file, build and serial number. A link that agrees outweighs one that does not. */
export function compareLamp(all: readonly LampWords[], tested: TestedLamp): LampMatch {
  const model = fitOf(
    all.filter(({ expected }) => !expected),
    { what: 'model', option: 'the lamp file', wanted: tested.model, fit: modelFit },
  );
  const build = fitOf(all, {
    what: 'firmware',
    option: '--build',
    wanted: tested.build,
    fit: versionFit,
  });
  const serial = fitOf(all, {
    what: 'serial',
    option: '--serial',
    wanted: tested.serial,
    fit: serialFit,
  });
  const fits = [model, build, serial];
  const mute = all.flatMap(({ link, trouble }) =>
    trouble === null ? [] : [`${link}: the lamp did not say who it is (${trouble})`],
  );
  const texts = [...mute, ...fits.flatMap(({ doubts }) => doubts)];
  return {
    contradictions: fits.flatMap(({ contradictions }) => contradictions),
    deviations: texts.map((text) => ({ kind: 'lamp identity', text })),
  };
}

/** What the record keeps of it. */
export function lampSays(all: readonly LampWords[]): NonNullable<RunRecord['lamp']['says']> {
  return all.flatMap(({ link, identity }) => {
    if (!identity) return [];
    const { maker, model, serial, firmware, raw } = identity;
    return [{ link, maker, model, serial, firmware, raw }];
  });
}
