import { ZxcvbnFactory } from '@zxcvbn-ts/core';
import { adjacencyGraphs, dictionary } from '@zxcvbn-ts/language-common';

/**
 * How many guesses a passphrase takes, as a power of ten, by zxcvbn-ts: what is common, repeated, in a row on the keyboard or in
 * the alphabet, or among the `known` words, is guessed soon. A file of its own, loaded on demand: the word lists take a tenth of a second.
 */
export function guessesLog10(passphrase: string, known: readonly string[]): number {
  const estimator = new ZxcvbnFactory({ dictionary, graphs: adjacencyGraphs });
  return estimator.check(passphrase, [...known]).guessesLog10;
}
