/** What a reader may throw at a bad input: each says what was expected, what was found and what to do. */
const known: ReadonlySet<string> = new Set([
  'ArchiveError',
  'BenchError',
  'Complaint',
  'DebugInfoError',
  'FirmwareLoadError',
  'LampFailure',
]);

export function isKnown(error: unknown): boolean {
  for (let kind = error; kind instanceof Error; kind = Object.getPrototypeOf(kind))
    if (known.has(kind.name) || known.has(kind.constructor.name)) return true;
  return false;
}
