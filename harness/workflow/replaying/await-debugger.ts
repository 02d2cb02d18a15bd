import inspector from 'node:inspector';

/** Where debuggers look first. Source: Node's documentation of --inspect. */
const usualPort = 9229;

/**
 * Opens this process to a debugger on this machine and waits until one is attached. Returns at once where it was started for one
 * (`node --inspect-brk`). `say` is told where it is. The process ends once the debugger is detached.
 */
export function awaitDebugger(say: (url: string) => void): void {
  if (inspector.url() !== undefined) return;
  inspector.open(usualPort, '127.0.0.1', false);
  // The port is taken: any other does.
  if (inspector.url() === undefined) inspector.open(0, '127.0.0.1', false);
  say(inspector.url() ?? '');
  inspector.waitForDebugger();
}
