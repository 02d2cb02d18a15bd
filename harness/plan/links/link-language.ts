import type * as z from 'zod';
import type { Lamp } from '../../bench/lamp.ts';
import type { RawMessage } from '../../bench/ports.ts';
import type { OneAnswer } from '../expectation.ts';
import type { ListeningLamp, Miss } from '../reach/listening-lamp.ts';
import type { Raw, ValueReader } from '../value-reader.ts';

/** What a spec may say on one link, and how long the link takes to carry it. */
export interface LinkLanguage<
  Message extends RawMessage = RawMessage,
  Keys extends z.ZodRawShape = z.ZodRawShape,
> {
  readonly link: Message['link'];
  /** Keys of a `send` on this link; the first is the link itself. */
  readonly keys: Keys;
  /** The message as sent; null where it has issues (reported). */
  read(written: z.infer<z.ZodObject<Keys>>, reader: ValueReader): Message | null;
  /** What must come back; null where it has issues (reported). Absent where the lamp cannot answer on this link. */
  readExpectation?(written: Raw, reader: ValueReader): OneAnswer | null;
  /** The message as the record of a run shows it. */
  text(message: Message): string;
  /** The message in the words of `explain`. */
  words(message: Message): string;
  /** What comes of the message at the lamp: see `Verb.misses`. Absent where every one reaches it. */
  misses?(message: Message, listening: ListeningLamp): Miss | null;
  /** Lamp time that a level, and a mix with it, take on the link, s; absent where it is too short to plan for. */
  settingTime?(lamp: Lamp, withMix: boolean): number;
  /** Lamp time that bytes of noise take on the link, s. */
  noiseTime?(lamp: Lamp, bytes: number): number;
}
