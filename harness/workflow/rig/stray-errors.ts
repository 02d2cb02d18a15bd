/**
 * While a rig is in use: an error that no call was waiting for, such as one thrown in a timer of a driver of the user's own,
 * would end the process on the spot. It loses the rig instead, so that the run ends in order and says why.
 *
 * @returns what takes the ears off again
 */
export function hearStrayErrors(lose: (why: string) => void): () => void {
  const hear = (error: unknown): void => {
    const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
    const [first = '', second = ''] = text.split('\n').map((line) => line.trim());
    lose(
      `an error that no call was waiting for, in a driver of the rig or in Evenfall itself: ${first} (${second || 'nowhere in particular'}); mend the driver, then resume the run`,
    );
  };
  process.on('uncaughtException', hear);
  process.on('unhandledRejection', hear);
  return () => {
    process.off('uncaughtException', hear);
    process.off('unhandledRejection', hear);
  };
}
