/** What takes the place of something that is not there; every other error goes on. */
export function ifMissing<Value>(instead: Value) {
  return (error: NodeJS.ErrnoException): Value => {
    if (error.code === 'ENOENT') return instead;
    throw error;
  };
}
