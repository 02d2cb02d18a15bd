import fc from 'fast-check';
import { parse, stringify } from 'yaml';

/** A lamp file as YAML reads it. */
interface LampText {
  lamp: string;
  channels: Record<string, unknown>;
  mixes: Record<string, Record<string, string>>;
  links: Record<string, unknown>;
  [field: string]: unknown;
}

const share = fc.integer({ min: 1, max: 100 }).map((own) => `${own} %`);
const losses = fc.constantFrom('hold', 'off');
const widths = fc.constantFrom(8, 16);
const firstSlot = fc.oneof(fc.constant(1), fc.integer({ min: 1, max: 480 }), fc.constant(493));

const drawn = fc.record({
  channels: fc.integer({ min: 1, max: 9 }),
  start: fc.nat(8),
  curve: fc.record({
    kind: fc.constantFrom('logarithmic', 'logarithmic', 'linear'),
    bottom: fc.constantFrom('0.1 %', '0.1 %', '0.3 %', '1 %', '3 %'),
  }),
  startUp: fc.integer({ min: 50, max: 1500 }).map((own) => `${own} ms`),
  delivered: fc.option(
    fc.record({
      level: fc.constantFrom('0 %', '0 %', '10 %', '100 %'),
      mix: fc.constant('all'),
      'power-on': fc.constantFrom('last', 'last', '100 %', '0 %', '5 %'),
      'system-failure': fc.constantFrom('hold', 'hold', '100 %', '0 %'),
    }),
  ),
  mixes: fc.array(fc.array(share, { minLength: 9, maxLength: 9 }), { minLength: 4, maxLength: 4 }),
  has: fc
    .record({ console: fc.boolean(), dali: fc.boolean(), dmx: fc.boolean(), sacn: fc.boolean() })
    .filter((own) => Object.values(own).some(Boolean)),
  dali: fc.record(
    { 'short-address': fc.nat(63), group: fc.nat(15) },
    { requiredKeys: ['short-address'] },
  ),
  dmx: fc.record({ 'first-slot': firstSlot, bits: widths, 'on-loss': losses }),
  sacn: fc.record({
    universe: fc.oneof(fc.constant(1), fc.integer({ min: 1, max: 63_999 })),
    'first-slot': firstSlot,
    bits: widths,
    'on-loss': losses,
  }),
});

/**
 * Lamp files like those that are given, `count` of them: other channels, curve, links, slots, addresses and memory. Modulation, output
 * stage and supply stay, since they depend on each other.
 */
export function drawLamps(seed: number, count: number, files: readonly string[]): string[] {
  const draws = fc.sample(drawn, { seed, numRuns: count });
  return draws.map((own, index) => lampFile(own, index, files[index % files.length] ?? ''));
}

type Drawn = typeof drawn extends fc.Arbitrary<infer T> ? T : never;

function lampFile(own: Drawn, index: number, text: string): string {
  const base: LampText = parse(text);
  const all = Object.keys(base.channels);
  const first = own.start % all.length;
  const names = all.slice(first, first + own.channels);
  const { ambient: _, processor: __, ...rest } = base;
  const links = Object.fromEntries(
    Object.entries({ dali: own.dali, dmx: own.dmx, sacn: own.sacn, console: base.links.console })
      .filter(([link]) => own.has[link as keyof typeof own.has])
      .map(([link, settings]) => [link, fitting(settings, names.length)]),
  );
  return stringify({
    ...rest,
    lamp: `drawn-${index}`,
    channels: Object.fromEntries(names.map((name) => [name, base.channels[name]])),
    mixes: Object.fromEntries(
      Object.keys(base.mixes).map((mix, at) => [
        mix,
        Object.fromEntries(names.map((name, place) => [name, own.mixes[at]?.[place] ?? '50 %'])),
      ]),
    ),
    curve: own.curve,
    links,
    'start-up': own.startUp,
    ...(own.delivered ? { 'as-delivered': own.delivered } : { 'as-delivered': undefined }),
  });
}

/** Slots that end within the universe; other links as they are. */
function fitting(settings: unknown, channels: number): unknown {
  const own = settings as { 'first-slot'?: number; bits?: number };
  if (own['first-slot'] === undefined) return settings;
  const wide = (1 + channels) * (own.bits === 16 ? 2 : 1);
  return { ...own, 'first-slot': Math.min(own['first-slot'], 513 - wide) };
}
