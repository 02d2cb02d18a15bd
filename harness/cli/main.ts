#!/usr/bin/env node
import { setFlagsFromString } from 'node:v8';
import { CommanderError } from 'commander';
import { Complaint } from '../workflow/complaint.ts';
import { commands } from './commands.ts';
import { complain } from './common/complaints.ts';
import { exitCodes } from './common/exit-codes.ts';
import type { Io } from './common/io.ts';
import { isToldOfNode, nodeLifeText } from './common/node-life.ts';
import { processIo } from './common/process-io.ts';
import { newProgram } from './program.ts';

/**
 * Runs one command line. Only the command that was called is loaded; the others are known by name alone.
 * Resolves with the exit code; never rejects on bad input.
 */
export async function main(args: readonly string[], io: Io): Promise<number> {
  const program = newProgram(io);
  const called = args.find((arg) => !arg.startsWith('-'));
  const entry = commands.find(({ name }) => name === called);
  const command = program.commands.find((one) => one.name() === called);
  if (entry?.shortLived) setFlagsFromString('--no-opt');
  if (entry && command) (await entry.load()).register(command, io);
  tellOfNode(args, io);
  try {
    await program.parseAsync([...args], { from: 'user' });
    return io.exitCode;
  } catch (error) {
    return exitCodeOfError(error, io);
  }
}

function tellOfNode(args: readonly string[], io: Io): void {
  if (!isToldOfNode(args, io.env)) return;
  const text = nodeLifeText(process.versions.node, new Date().toISOString().slice(0, 10));
  if (text !== null) io.stderr(`evenfall: ${text}\n`);
}

function exitCodeOfError(error: unknown, io: Io): number {
  if (error instanceof CommanderError) {
    const asked = error.code === 'commander.helpDisplayed' || error.code === 'commander.version';
    return asked ? exitCodes.pass : exitCodes.usage;
  }
  if (error instanceof Complaint) return complain(error, io);
  const text = error instanceof Error ? (error.stack ?? error.message) : String(error);
  io.stderr(`evenfall: unexpected error; please report it with these lines:\n${text}\n`);
  return exitCodes.internal;
}

const io = processIo();
// Node would end with 1, which is for a claim that failed. While a rig is in use its own ears hear first.
for (const stray of ['uncaughtException', 'unhandledRejection'] as const)
  process.on(stray, (error: unknown) => {
    if (process.listenerCount(stray) > 1) return;
    process.exit(exitCodeOfError(error, io));
  });
process.exitCode = await main(process.argv.slice(2), io);
