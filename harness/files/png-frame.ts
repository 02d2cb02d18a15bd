import { decode, hasPngSignature } from 'fast-png';
import { type Decoded, decoded, faulty } from './file-fault.ts';
import { barePng, cutOff } from './png-chunks.ts';

/** The rows of a picture taken by a rolling-shutter camera. */
export interface PngFrame {
  /** Mean of each row from top to bottom, 0..1 of full scale, linear, dark level subtracted. */
  readonly rows: Float64Array;
  readonly width: number;
  readonly height: number;
  readonly depth: 8 | 16;
  /** Some row has more than 1 % of its values on the end of the scale. */
  readonly saturated: boolean;
}

/** How the camera wrote its values. */
export interface PngFrameSetup {
  /** `linear`: in proportion to the light; `srgb`: through the curve of IEC 61966-2-1, as pictures for screens are. */
  readonly transfer: 'linear' | 'srgb';
  /** Mean value of a frame taken in the dark, 0..1 of full scale after linearising. */
  readonly dark: number;
}

const saturatedPart = 0.01;

/**
 * Reads a PNG picture, 8 or 16 bit, grey or colour (the mean of the colours; transparency is ignored), and averages it
 * along its rows.
 *
 * Input: the whole file. Faults: not a PNG, a damaged one (checksums are tested), one with a palette or with fewer than
 * 8 bits, no pixels, more pixels than are read, and data that hold more than the pixels.
 * Source: PNG specification, third edition (read by a library); sRGB curve IEC 61966-2-1 (from memory).
 */
export function decodePngFrame(bytes: Uint8Array, setup: PngFrameSetup): Decoded<PngFrame> {
  if (bytes.length === 0) return faulty('empty', 'expected a PNG picture, found no bytes');
  if (bytes.length < 8 || !hasPngSignature(bytes.subarray(0, 8))) {
    return faulty(
      'not-this-format',
      'expected a PNG picture, found other bytes: save the frame as PNG, 8 or 16 bit',
    );
  }
  const bare = barePng(bytes);
  if (!bare.ok) return bare;
  const picture = pictureOf(bare.value);
  if (!picture) return cutOff();
  const { width, height, depth, channels, data, palette } = picture;
  if (palette || (depth !== 8 && depth !== 16)) {
    const found = palette ? 'a palette' : `${depth} bit`;
    return faulty(
      'unsupported',
      `expected a PNG picture of 8 or 16 bit without a palette, found ${found}: save it as grey or RGB`,
    );
  }
  const colours = channels >= 3 ? 3 : 1;
  const top = depth === 8 ? 255 : 65535;
  const light = lightOf(top, setup.transfer);
  const rows = new Float64Array(height);
  let saturated = false;
  for (let row = 0; row < height; row++) {
    let sum = 0;
    let full = 0;
    for (let column = 0; column < width; column++) {
      const at = (row * width + column) * channels;
      for (let colour = 0; colour < colours; colour++) {
        const value = data[at + colour] ?? 0;
        sum += light[value] ?? 0;
        if (value === top) full++;
      }
    }
    rows[row] = sum / (width * colours) - setup.dark;
    if (full > saturatedPart * width * colours) saturated = true;
  }
  return decoded({ rows, width, height, depth, saturated });
}

function pictureOf(bytes: Uint8Array): ReturnType<typeof decode> | null {
  try {
    const picture = decode(bytes, { checkCrc: true });
    const values = picture.width * picture.height * picture.channels;
    return values > 0 && (picture.depth < 8 || picture.data.length === values) ? picture : null;
  } catch {
    // The library throws at whatever is wrong inside a file that began as a PNG.
    return null;
  }
}

/** Light 0..1 of each value from 0 to `top`. */
function lightOf(top: number, transfer: PngFrameSetup['transfer']): Float64Array {
  const light = new Float64Array(top + 1);
  for (let value = 0; value <= top; value++) {
    const v = value / top;
    light[value] =
      transfer === 'linear' ? v : v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
  }
  return light;
}
