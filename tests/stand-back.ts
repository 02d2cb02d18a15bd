import { getPriority, setPriority } from 'node:os';

/** A third step of niceness halves a process's share where others compute as well (Linux: 1.25 a step); more would starve it on a busy machine. */
const steps = 3;

/**
 * Before each file of tests that keep no time: this process, and what it starts, lets others go first. Tests in real time run
 * beside it, wait most of their time, and must be served when a deadline comes.
 */
setPriority(Math.min(19, getPriority() + steps));
