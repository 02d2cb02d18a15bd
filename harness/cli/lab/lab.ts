import type { Register } from '../common/io.ts';
import { register as cancel } from './lab-cancel.ts';
import { register as schedule } from './lab-schedule.ts';
import { register as serve } from './lab-serve.ts';
import { register as sign } from './lab-sign.ts';
import { register as token } from './lab-token.ts';

/** `evenfall lab serve|sign|token|schedule|cancel`: many rigs and many builds behind one service. */
export const register: Register = (command, io) => {
  serve(command.command('serve'), io);
  sign(command.command('sign'), io);
  token(command.command('token'), io);
  schedule(command.command('schedule'), io);
  cancel(command.command('cancel'), io);
};
