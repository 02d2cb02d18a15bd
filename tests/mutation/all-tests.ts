/** Every test of a group in one file, so that the code is loaded once for all changes of it. */
for (const file of JSON.parse(process.env['MUTATION_TESTS'] ?? '[]') as string[])
  await import(/* @vite-ignore */ file);
