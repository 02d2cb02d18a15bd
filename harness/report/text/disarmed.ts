/**
 * Text for the log of a CI job, with nothing in it that a job runner takes for a command: a line that begins with two
 * colons, after blanks or not, or the older `##[`, wherever it stands. Whatever a lamp's console or a spec says stays
 * readable. Source: documentation of workflow commands and their older form, from memory.
 */
export function disarmed(text: string): string {
  return text.replace(/^([^\S\n]*):(?=:)/gm, '$1: ').replaceAll('##[', '## [');
}
