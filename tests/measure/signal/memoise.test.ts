import { describe, expect, it } from 'vitest';
import { lruCache } from '../../../harness/measure/signal/lru-cache.ts';
import { memoise, memoiseSamples } from '../../../harness/measure/signal/memoise.ts';
import type { Samples } from '../../../harness/measure/signal/samples.ts';

describe('memoise', () => {
  it('computes once for an object and arguments, and anew when any of them differs', () => {
    let runs = 0;
    const sum = memoise((owner: { readonly base: number }, name: string, a: number, b: number) => {
      runs++;
      return `${name} ${owner.base + a + b}`;
    });
    const owner = { base: 1 };
    expect([sum(owner, 'x', 2, 3), sum(owner, 'x', 2, 3)]).toEqual(['x 6', 'x 6']);
    expect(runs).toBe(1);
    expect(sum(owner, 'y', 2, 3)).toBe('y 6');
    expect(sum({ base: 2 }, 'x', 2, 3)).toBe('x 7');
    expect(runs).toBe(3);
  });

  it('never takes one row of arguments for another that reads alike', () => {
    const joined = memoise((_: object, ...parts: readonly (number | string)[]) => parts.join(' '));
    const owner = {};
    expect(joined(owner, '1', '2')).toBe('1 2');
    expect(joined(owner, '1 2')).toBe('1 2');
    const types = memoise((_: object, ...parts: readonly (number | string)[]) =>
      parts.map((part) => typeof part).join(),
    );
    expect(types(owner, '1', 2)).toBe('string,number');
    expect(types(owner, 1, '2')).toBe('number,string');
    expect(types(owner, 1)).toBe('number');
    expect(types(owner, NaN)).toBe(types(owner, NaN));
  });

  it('remembers that there was nothing to find', () => {
    let runs = 0;
    const nothing = memoise((_: object) => void runs++);
    const owner = {};
    nothing(owner);
    nothing(owner);
    expect(runs).toBe(1);
  });
});

describe('memoiseSamples', () => {
  let runs = 0;
  const total = memoiseSamples((samples: Samples, factor: number) => {
    runs++;
    return factor * Array.from(samples).reduce((sum, value) => sum + value, 0);
  });

  it('knows a stretch of memory again whatever view is laid over it', () => {
    const samples = Float64Array.of(1, 2, 3, 4);
    runs = 0;
    expect(total(samples.subarray(1, 3), 2)).toBe(10);
    expect(total(samples.subarray(1, 3), 2)).toBe(10);
    expect(runs).toBe(1);
    expect(total(samples.subarray(1, 4), 2)).toBe(18);
    expect(total(samples.subarray(2, 4), 2)).toBe(14);
    expect(total(samples.subarray(1, 3), 3)).toBe(15);
  });

  it('tells single from double precision over the same bytes', () => {
    const doubles = Float64Array.of(1, 2);
    const singles = new Float32Array(doubles.buffer, 0, 2);
    expect(total(doubles, 1)).toBe(3);
    expect(total(singles, 1)).toBe((singles[0] ?? NaN) + (singles[1] ?? NaN));
  });
});

describe('lruCache', () => {
  it('keeps the results used last, and computes the others again', () => {
    const runs: string[] = [];
    const cached = lruCache(2, (a: number, b: string) => {
      runs.push(`${a}${b}`);
      return `${a}${b}`;
    });
    cached(1, 'a');
    cached(2, 'a');
    expect(cached(1, 'a')).toBe('1a');
    cached(1, 'b');
    expect(cached(1, 'a')).toBe('1a');
    expect(runs).toEqual(['1a', '2a', '1b']);
    expect(cached(2, 'a')).toBe('2a');
    expect(runs).toEqual(['1a', '2a', '1b', '2a']);
  });
});
