import * as z from 'zod';
import { name, quantity, words } from '../../files/schema-parts.ts';

/** A variable or a file that holds a secret; the news file itself never does. */
const secretSchema = z.union(
  [
    z.strictObject({
      env: z
        .string()
        .regex(/^[A-Za-z_][A-Za-z0-9_]*$/)
        .max(200)
        .meta({ description: 'The environment variable that holds it.' }),
    }),
    z.strictObject({ file: words('The file that holds it, from the folder of the news file.') }),
  ],
  'expected { env: NAME } or { file: PATH }: the secret itself has no place in a file that is shared',
);

const within = quantity('How long one delivery may take.', 'time', '30 s', {
  above: 0,
  most: 600,
}).prefault('30 s');

const address = z
  .string()
  .max(254)
  .regex(
    /^[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]+@[A-Za-z0-9]([A-Za-z0-9.-]*[A-Za-z0-9])?$/,
    'expected a mail address such as bench@example.com',
  );

const programSchema = z.strictObject({
  command: z
    .array(words('The program, or an argument of it.'))
    .min(1)
    .max(64)
    .meta({ description: 'The program, then its arguments; no shell reads them.' }),
  within,
});

const webhookSchema = z.strictObject({
  url: z
    .string()
    .max(2000)
    .refine(
      isPlainUrl,
      'expected an address such as https://example.com/evenfall, without a name or password in it',
    ),
  secret: secretSchema,
  within,
});

const mailSchema = z.strictObject({
  from: address,
  to: z.array(address).min(1).max(50),
  host: z
    .string()
    .regex(/^[A-Za-z0-9.:-]+$/, 'expected the name or address of a mail relay')
    .max(255)
    .prefault('localhost'),
  port: z.int().min(1).max(65_535).prefault(25),
  within,
});

/** Names are what people type: who looks for a fault finds the target by it. */
export const targetSchema = z
  .strictObject({
    target: name('What it is called in messages; unique in its file.'),
    on: z
      .array(z.enum(['pass', 'fail', 'inconclusive', 'error', 'ended']))
      .min(1)
      .max(5)
      .meta({ description: 'Which verdicts are told; `ended` is any, none included.' }),
    lamps: z.array(words('A lamp, by the name in its file.')).min(1).max(200).exactOptional(),
    tags: z.array(words('A tag by which the claims were chosen.')).min(1).max(200).exactOptional(),
    program: programSchema.exactOptional(),
    webhook: webhookSchema.exactOptional(),
    mail: mailSchema.exactOptional(),
  })
  .refine(
    ({ program, webhook, mail }) => [program, webhook, mail].filter(Boolean).length === 1,
    'expected exactly one of program, webhook and mail',
  );

export type Target = z.infer<typeof targetSchema>;
export type ProgramTarget = z.infer<typeof programSchema>;
export type WebhookTarget = z.infer<typeof webhookSchema>;
export type MailTarget = z.infer<typeof mailSchema>;

function isPlainUrl(text: string): boolean {
  if (!URL.canParse(text)) return false;
  const { protocol, username, password, hash } = new URL(text);
  return /^https?:$/.test(protocol) && username === '' && password === '' && hash === '';
}
