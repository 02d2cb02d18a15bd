import { describe, expect, it } from 'vitest';
import { decodeNpy, encodeNpy, type NpySource, npyHeader } from '../../harness/files/npy.ts';

/** Files written by the array library that defined the format (its version 2.4), in base64. */
const written = {
  'v1 little-endian float32':
    'k05VTVBZAQB2AHsnZGVzY3InOiAnPGY0JywgJ2ZvcnRyYW5fb3JkZXInOiBGYWxzZSwgJ3NoYXBlJzogKDMsKSwgfSAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAoAAAA/AACgvwBg6kY=',
  'v1 big-endian float64':
    'k05VTVBZAQB2AHsnZGVzY3InOiAnPmY4JywgJ2ZvcnRyYW5fb3JkZXInOiBGYWxzZSwgJ3NoYXBlJzogKDMsKSwgfSAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAo/uZmZmZmZmoG6yaeztzAvQAgAAAAAAAA=',
  'v2 little-endian int16':
    'k05VTVBZAgB0AAAAeydkZXNjcic6ICc8aTInLCAnZm9ydHJhbl9vcmRlcic6IEZhbHNlLCAnc2hhcGUnOiAoMywpLCB9ICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAoAgAAA/38=',
  'v3 big-endian int32':
    'k05VTVBZAwB0AAAAeydkZXNjcic6ICc+aTQnLCAnZm9ydHJhbl9vcmRlcic6IEZhbHNlLCAnc2hhcGUnOiAoMywpLCB9ICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAqAAAAAAAAAB3////8=',
  'v1 uint8':
    'k05VTVBZAQB2AHsnZGVzY3InOiAnfHUxJywgJ2ZvcnRyYW5fb3JkZXInOiBGYWxzZSwgJ3NoYXBlJzogKDMsKSwgfSAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAoAgP8=',
  'one column of a matrix':
    'k05VTVBZAQB2AHsnZGVzY3InOiAnPGY0JywgJ2ZvcnRyYW5fb3JkZXInOiBGYWxzZSwgJ3NoYXBlJzogKDIsIDEpLCB9ICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAoAAIA/AAAAQA==',
  fortran:
    'k05VTVBZAQB2AHsnZGVzY3InOiAnPGY0JywgJ2ZvcnRyYW5fb3JkZXInOiBUcnVlLCAnc2hhcGUnOiAoMiwgMyksIH0gICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAoAAAAAAABAQAAAgD8AAIBAAAAAQAAAoEA=',
  matrix:
    'k05VTVBZAQB2AHsnZGVzY3InOiAnPGY0JywgJ2ZvcnRyYW5fb3JkZXInOiBGYWxzZSwgJ3NoYXBlJzogKDIsIDMpLCB9ICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAoAAAAAAACAPwAAAEAAAEBAAACAQAAAoEA=',
  scalar:
    'k05VTVBZAQB2AHsnZGVzY3InOiAnPGY4JywgJ2ZvcnRyYW5fb3JkZXInOiBGYWxzZSwgJ3NoYXBlJzogKCksIH0gICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAoAAAAAAAAIQA==',
  objects:
    'k05VTVBZAQB2AHsnZGVzY3InOiAnfE8nLCAnZm9ydHJhbl9vcmRlcic6IEZhbHNlLCAnc2hhcGUnOiAoMywpLCB9ICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAqABJWRAAAAAAAAAIwWbnVtcHkuX2NvcmUubXVsdGlhcnJheZSMDF9yZWNvbnN0cnVjdJSTlIwFbnVtcHmUjAduZGFycmF5lJOUSwCFlEMBYpSHlFKUKEsBSwOFlGgDjAVkdHlwZZSTlIwCTziUiYiHlFKUKEsDjAF8lE5OTkr/////Sv////9LP3SUYoldlChLAYwBYZROZXSUYi4=',
  records:
    'k05VTVBZAQB2AHsnZGVzY3InOiBbKCdhJywgJzxpNCcpLCAoJ2InLCAnPGY0JyldLCAnZm9ydHJhbl9vcmRlcic6IEZhbHNlLCAnc2hhcGUnOiAoMSwpLCB9ICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAoBAAAAAAAAQA==',
  complex:
    'k05VTVBZAQB2AHsnZGVzY3InOiAnPGMxNicsICdmb3J0cmFuX29yZGVyJzogRmFsc2UsICdzaGFwZSc6ICgxLCksIH0gICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAoAAAAAAAAAAAAAAAAAAPA/',
  strings:
    'k05VTVBZAQB2AHsnZGVzY3InOiAnPFUyJywgJ2ZvcnRyYW5fb3JkZXInOiBGYWxzZSwgJ3NoYXBlJzogKDEsKSwgfSAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAphAAAAYgAAAA==',
  empty:
    'k05VTVBZAQB2AHsnZGVzY3InOiAnPGY0JywgJ2ZvcnRyYW5fb3JkZXInOiBGYWxzZSwgJ3NoYXBlJzogKDAsKSwgfSAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgICAgIAo=',
} as const;

const file = (name: keyof typeof written) => Uint8Array.from(Buffer.from(written[name], 'base64'));
const read = (bytes: Uint8Array) => {
  const result = decodeNpy(bytes);
  if (!result.ok) throw new Error(result.fault.message);
  return result.value;
};
const faultOf = (bytes: Uint8Array) => {
  const result = decodeNpy(bytes);
  if (result.ok) throw new Error('read without a fault');
  return result.fault;
};

describe('decodeNpy', () => {
  it.each([
    ['v1 little-endian float32', [0.5, -1.25, 3e4]],
    ['v1 big-endian float64', [0.1, -2.5e-300, 3]],
    ['v2 little-endian int16', [-32768, 0, 32767]],
    ['v3 big-endian int32', [-(2 ** 31), 7, 2 ** 31 - 1]],
    ['v1 uint8', [0, 128, 255]],
    ['one column of a matrix', [1, 2]],
  ] as const)('reads %s', (name, values) => {
    expect(Array.from(read(file(name)).samples, Number)).toEqual(values);
  });

  it.each([
    ['fortran', 'unsupported', /\(2, 3\) in Fortran order/],
    ['matrix', 'unsupported', /one dimension.*\(2, 3\)/],
    ['scalar', 'unsupported', /one dimension/],
    ['objects', 'unsupported', /Python objects/],
    ['records', 'unsupported', /record of several fields/],
    ['complex', 'unsupported', /complex numbers/],
    ['strings', 'unsupported', /the type <U2/],
    ['empty', 'empty', /0 samples/],
  ] as const)('refuses %s', (name, code, words) => {
    expect(faultOf(file(name))).toMatchObject({ code });
    expect(faultOf(file(name)).message).toMatch(words);
  });

  it('finds a file cut off at any byte', () => {
    const whole = file('v1 little-endian float32');
    for (let length = 0; length < whole.length; length++) {
      const { code } = faultOf(whole.subarray(0, length));
      expect(code).toBe(length === 0 ? 'empty' : length < 6 ? 'not-this-format' : 'truncated');
    }
  });

  it('says how much is missing', () => {
    const whole = file('v1 little-endian float32');
    expect(faultOf(whole.subarray(0, whole.length - 5)).message).toMatch(
      /3 samples of <f4, 12 bytes; found 7/,
    );
  });

  it('does not lose what follows the array without a word', () => {
    const whole = file('v1 little-endian float32');
    expect(faultOf(Uint8Array.from([...whole, 1])).code).toBe('surplus');
  });

  it('refuses other formats and newer versions', () => {
    expect(faultOf(new TextEncoder().encode('time,light\n0,1\n')).code).toBe('not-this-format');
    const newer = file('v1 uint8');
    newer[6] = 9;
    expect(faultOf(newer).message).toMatch(/version 9/);
  });

  it('reads from the middle of a larger buffer, whichever class it is of', () => {
    const whole = file('v1 little-endian float32');
    const pooled = Buffer.concat([Buffer.alloc(3), whole]).subarray(3);
    expect(Array.from(read(pooled).samples, Number)).toEqual([0.5, -1.25, 3e4]);
    const larger = new Uint8Array(whole.length + 6);
    larger.set(whole, 3);
    expect(Array.from(read(larger.subarray(3, 3 + whole.length)).samples, Number)).toEqual([
      0.5, -1.25, 3e4,
    ]);
  });
});

describe('encodeNpy', () => {
  const sources: NpySource[] = [
    Float32Array.of(0.5, Number.NaN, -0, 3e38),
    Float64Array.of(Math.PI, Number.NEGATIVE_INFINITY),
    Int16Array.of(-32768, 32767),
    Int32Array.of(-(2 ** 31), 2 ** 31 - 1),
  ];
  it.each(sources)('comes back unchanged: %o', (source) => {
    expect(read(encodeNpy(source)).samples).toEqual(source);
  });

  it('writes the very bytes that the array library writes', () => {
    const ours = encodeNpy(Float32Array.of(0.5, -1.25, 3e4));
    expect(Buffer.from(ours).equals(Buffer.from(file('v1 little-endian float32')))).toBe(true);
  });

  it('keeps the samples at byte 128, a multiple of 64, whatever their number', () => {
    for (const length of [0, 1, 1e6]) expect(npyHeader(new Int16Array(length))).toHaveLength(128);
  });

  it('writes a part of a larger array as that part', () => {
    const part = Float32Array.of(1, 2, 3, 4).subarray(1, 3);
    expect(Array.from(read(encodeNpy(part)).samples, Number)).toEqual([2, 3]);
  });
});
