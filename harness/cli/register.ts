import type { Command } from 'commander';
import type { Io } from './io.ts';

/** A command's file exports one of these as `register`: it adds options and an action to `command`. */
export type Register = (command: Command, io: Io) => void;
