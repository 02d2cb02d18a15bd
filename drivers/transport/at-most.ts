/** Resolves when `work` has settled, however it did, or after so many seconds: for a farewell that must not hang. */
export async function atMost(seconds: number, work: Promise<unknown>): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  const enough = new Promise<void>((resolve) => {
    timer = setTimeout(resolve, seconds * 1000);
  });
  await Promise.race([work.catch(() => {}), enough]);
  clearTimeout(timer);
}
