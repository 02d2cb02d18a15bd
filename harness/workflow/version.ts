import manifest from '../../package.json' with { type: 'json' };

export const harnessVersion: string = manifest.version;
