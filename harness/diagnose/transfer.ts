import { median, sum } from 'd3-array';

/** A steady level of one subject: what was told and what came, both as shares of the reference. */
export interface SteadyLevel {
  readonly commanded: number;
  readonly measured: number;
  readonly failed: boolean;
}

/** How light follows what is commanded, where it does not follow the dimming curve; all figures are shares of full light. */
export type Transfer =
  /** Light falls short by `share`, or not at all: a bit of that worth is never set. */
  | { readonly form: 'missing-bit'; readonly share: number; readonly bit: number }
  /** It stays at `level` wherever less is told. */
  | { readonly form: 'floor'; readonly level: number }
  /** It stays at `level` wherever more is told. */
  | { readonly form: 'ceiling'; readonly level: number }
  /** It is dark wherever `level` or less is told. */
  | { readonly form: 'dark'; readonly level: number }
  /** It comes in steps of `share`, as a drive of that many bits gives it. */
  | { readonly form: 'coarse'; readonly share: number; readonly bits: number }
  /** It is more by `share` than what was told, or less. */
  | { readonly form: 'offset'; readonly share: number }
  /** It is `factor` times what was told, but for full light, which levels are told relative to. */
  | { readonly form: 'factor'; readonly factor: number }
  /** It is what was told to the power of `exponent`. */
  | { readonly form: 'power'; readonly exponent: number };

/** Fewer levels are met by too many forms. */
const fewestLevels = 3;
/** Steady levels are this close to a form that they follow. */
const closeness = 0.03;
/** A form has to meet this share of all levels, and of those that fail. */
const fewestMet = 0.9;
/** Relative levels say nothing of what is wrong with full light itself. */
const nearFull = 0.9;

/**
 * The form that these levels follow; null where there is none, or the dimming curve itself is as good.
 * Own forms, common practice, no source.
 */
export function transferOf(levels: readonly SteadyLevel[]): Transfer | null {
  const failing = levels.filter(({ failed }) => failed);
  const distinct = (own: readonly SteadyLevel[]): number =>
    new Set(own.map(({ commanded }) => commanded.toPrecision(3))).size;
  if (distinct(levels) < fewestLevels || distinct(failing) < 2) return null;
  const candidates = [
    ...lastingForms(failing),
    ...shiftedForms(failing),
    ...bitForms(),
    ...coarseForms(),
    ...powerForm(levels),
  ];
  const met = (form: Transfer, own: readonly SteadyLevel[]): number =>
    own.filter((level) => meets(form, level)).length / own.length;
  const good = candidates.filter(
    (form) => met(form, levels) >= fewestMet && met(form, failing) >= fewestMet,
  );
  const [best = null] = good.sort((a, b) => met(b, failing) - met(a, failing));
  return best;
}

/** What comes where `commanded` is told. */
function transferred(form: Transfer, commanded: number): number {
  switch (form.form) {
    case 'missing-bit':
      return Math.floor(commanded / form.share + 1e-6) % 2 === 1
        ? commanded - form.share
        : commanded;
    case 'floor':
      // Dark is switched and not dimmed.
      return commanded > 0 ? Math.max(commanded, form.level) : 0;
    case 'ceiling':
      return Math.min(commanded, form.level);
    case 'dark':
      return commanded > form.level * (1 + 1e-6) ? commanded : 0;
    case 'coarse':
      return Math.round(commanded / form.share) * form.share;
    case 'offset':
      return Math.max(0, commanded + form.share);
    case 'factor':
      return commanded > nearFull ? commanded : commanded * form.factor;
    case 'power':
      return commanded ** form.exponent;
  }
}

/** Whether a level comes out otherwise than it was told. */
export function isBent(form: Transfer, commanded: number): boolean {
  return Math.abs(transferred(form, commanded) - commanded) > closeness * commanded;
}

function meets(form: Transfer, { commanded, measured }: SteadyLevel): boolean {
  const expected = transferred(form, commanded);
  return Math.abs(measured - expected) <= closeness * Math.max(expected, 0.1 * commanded);
}

/** Forms in which the light stays where it is. */
function lastingForms(failing: readonly SteadyLevel[]): Transfer[] {
  const level = median(failing, ({ measured }) => measured) ?? 0;
  const unlit = failing.filter(({ commanded, measured }) => measured < 0.1 * commanded);
  const edge = Math.max(0, ...unlit.map(({ commanded }) => commanded));
  const dark: Transfer[] = edge > 0 ? [{ form: 'dark', level: edge }] : [];
  return [...dark, { form: 'floor', level }, { form: 'ceiling', level }];
}

/** Forms that hold all of the light above or below its command. */
function shiftedForms(failing: readonly SteadyLevel[]): Transfer[] {
  const share = median(failing, ({ commanded, measured }) => measured - commanded) ?? 0;
  const factor = median(failing, ({ commanded, measured }) => measured / commanded) ?? 1;
  return [
    { form: 'factor', factor },
    { form: 'offset', share },
  ];
}

const mostBits = 14;

function bitForms(): Transfer[] {
  return Array.from({ length: mostBits }, (_, k) => ({
    form: 'missing-bit' as const,
    share: 2 ** -(k + 1),
    bit: k + 1,
  }));
}

const coarsest = 4;
const finest = 12;

function coarseForms(): Transfer[] {
  return Array.from({ length: finest - coarsest + 1 }, (_, k) => ({
    form: 'coarse' as const,
    share: 1 / (2 ** (finest - k) - 1),
    bits: finest - k,
  }));
}

/** The slope through full light in log light by least squares. */
function powerForm(levels: readonly SteadyLevel[]): Transfer[] {
  const lit = levels.filter(({ commanded, measured }) => measured > 0 && commanded < nearFull);
  const ofLogs = lit.map(({ commanded, measured }) => [Math.log(commanded), Math.log(measured)]);
  const exponent = sum(ofLogs, ([x = 0, y = 0]) => x * y) / sum(ofLogs, ([x = 0]) => x * x);
  return exponent > 0 && Math.abs(exponent - 1) > 0.02 ? [{ form: 'power', exponent }] : [];
}
