import { describe, expect, it } from 'vitest';
import wavefile from 'wavefile';
import { decodeWav } from '../../harness/files/wav.ts';

const { WaveFile } = wavefile;

const read = (bytes: Uint8Array) => {
  const result = decodeWav(bytes);
  if (!result.ok) throw new Error(result.fault.message);
  return result.value;
};
const faultOf = (bytes: Uint8Array) => {
  const result = decodeWav(bytes);
  if (result.ok) throw new Error('read without a fault');
  return result.fault;
};

/** Written by an independent library. */
function write(bits: string, samples: number[] | number[][], rate = 48_000): Uint8Array {
  const file = new WaveFile();
  const channels = Array.isArray(samples[0]) ? samples.length : 1;
  file.fromScratch(channels, rate, bits, samples as number[]);
  return file.toBuffer();
}

describe('decodeWav', () => {
  it.each([
    ['8', [0, 64, 128, 192, 255], [-1, -0.5, 0, 0.5, 127 / 128], 2 ** -7],
    ['16', [-32768, -16384, 0, 16384, 32767], [-1, -0.5, 0, 0.5, 1 - 2 ** -15], 2 ** -15],
    ['24', [-8388608, -1, 0, 4194304], [-1, -(2 ** -23), 0, 0.5], 2 ** -23],
    ['32', [-2147483648, -1, 0, 1073741824], [-1, -(2 ** -31), 0, 0.5], 2 ** -31],
    ['32f', [-1, 0.25, 7.5], [-1, 0.25, 7.5], 0],
    ['64', [-1, 0.1, 7.5], [-1, 0.1, 7.5], 0],
  ])('reads samples of %s bits', (bits, samples, values, step) => {
    const audio = read(write(bits, samples));
    expect(Array.from(audio.channels[0]!.samples)).toEqual(values);
    expect(audio).toMatchObject({ rate: 48_000, step });
  });

  it('parts the channels', () => {
    const audio = read(
      write(
        '16',
        [
          [0, 8192],
          [-8192, 16384],
        ],
        20_000,
      ),
    );
    expect(audio.channels.map(({ samples }) => Array.from(samples))).toEqual([
      [0, 0.25],
      [-0.25, 0.5],
    ]);
  });

  it('reads the extensible form, whose format stands in the identifier', () => {
    const bytes = write('16', [-32768, 16384]);
    const larger = new Uint8Array(bytes.length + 24);
    larger.set(bytes.subarray(0, 36));
    larger.set(bytes.subarray(36), 60);
    const view = new DataView(larger.buffer);
    view.setUint32(16, 40, true);
    view.setUint16(20, 0xfffe, true);
    view.setUint16(36, 22, true);
    // PCM: 00000001-0000-0010-8000-00AA00389B71.
    larger.set([1, 0, 0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71], 44);
    expect(Array.from(read(larger).channels[0]!.samples)).toEqual([-1, 0.5]);
  });

  it('counts integer samples on the end of the range as clipped', () => {
    expect(read(write('16', [-32768, 0, 32767, 32766])).channels[0]!.clipped).toBe(2);
    expect(read(write('8', [0, 255, 128])).channels[0]!.clipped).toBe(2);
    expect(read(write('32f', [-1, 1, 2])).channels[0]!.clipped).toBe(0);
  });

  it('passes over chunks that it does not know, also of odd length', () => {
    const bytes = write('16', [1, 2]);
    const odd = [...new TextEncoder().encode('note'), 3, 0, 0, 0, 1, 2, 3, 0];
    const larger = Uint8Array.from([...bytes.slice(0, 12), ...odd, ...bytes.slice(12)]);
    expect(read(larger).channels[0]!.samples).toHaveLength(2);
  });

  it('refuses a file of 0 samples', () => {
    expect(faultOf(write('16', []))).toMatchObject({ code: 'empty' });
    expect(faultOf(write('16', [])).message).toMatch(/0 samples/);
    expect(faultOf(new Uint8Array(0)).code).toBe('empty');
  });

  it('finds a file cut off at any byte', () => {
    const whole = write('16', [1, 2, 3]);
    for (let length = 12; length < whole.length; length++)
      expect(faultOf(whole.subarray(0, length)).code).toBe('truncated');
  });

  it('refuses other formats, big-endian files, compressed samples and contradictions', () => {
    const bytes = write('16', [1, 2, 3]);
    const changed = (at: number, ...values: number[]) => {
      const copy = Uint8Array.from(bytes);
      copy.set(values, at);
      return copy;
    };
    expect(faultOf(new TextEncoder().encode('time,light\n0,1\n0.1,2\n')).code).toBe(
      'not-this-format',
    );
    expect(faultOf(changed(3, 0x58)).code).toBe('unsupported');
    expect(faultOf(changed(20, 6)).message).toMatch(/format 6 of 16 bits/);
    expect(faultOf(changed(32, 3)).code).toBe('not-this-format');
    expect(faultOf(changed(24, 0, 0, 0, 0)).code).toBe('no-rate');
  });
});
