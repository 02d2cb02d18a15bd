import { setPriority } from 'node:os';

/**
 * Before each file of tests that keep no time: this process, and what it starts, lets others go first. Tests in real time run
 * beside it, wait most of their time, and must be served when a deadline comes.
 */
setPriority(Number(process.env['EVENFALL_TEST_NICENESS'] ?? 0));
