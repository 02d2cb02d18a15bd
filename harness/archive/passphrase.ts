import { badName } from './person.ts';

/** Shorter ones are guessed too soon: the key file may be copied and tried at leisure. Common practice, no source. */
const shortest = 12;
/**
 * Guesses, as a power of ten, that a passphrase must be worth. A guess costs a processor core some 0.2 s
 * (600,000 rounds): 10^10 of them take it sixty years. The package calls it "very unguessable" (its score 4).
 */
const fewestGuesses = 10;

/** Of a longer one the beginning is judged: the time that this takes grows with the square. */
const longest = 100;

/**
 * Why a passphrase will not do for a signing key, null where it will. `known` are words that a guesser tries first: names of
 * the signer, of the file.
 */
export async function weakPassphrase(
  passphrase: string,
  known: readonly string[],
): Promise<string | null> {
  const { length } = [...passphrase];
  if (length < shortest)
    return `expected a passphrase of at least ${shortest} characters, found ${length}`;
  const bad = badName(passphrase);
  if (bad) return bad.replace('a name that can be read', 'a passphrase that can be typed');
  const { guessesLog10 } = await import('./guesses.ts');
  const words = known.filter((word) => word !== '');
  const power = guessesLog10(passphrase.slice(0, longest), words);
  if (power >= fewestGuesses) return null;
  const guesses = `about 10^${Math.max(1, Math.floor(power))} guesses`;
  return `expected a passphrase that takes at least 10^${fewestGuesses} guesses, found one of ${guesses}: it repeats, is in a row, or is a name or a common one; take four words that have nothing to do with each other`;
}
