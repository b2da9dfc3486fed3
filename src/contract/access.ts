import { z } from 'zod';
import { ShortText } from './common.ts';

export const AccessRole = z
  .enum(['viewer', 'operator', 'owner'])
  .describe('May look; may also enter; may do everything');
export type AccessRole = z.infer<typeof AccessRole>;
/** As typed; whether it will do is said in words. */
const Passphrase = z.string().min(1, 'give the passphrase').max(1000);
const Token = z.string().min(1).max(100);

/** How one stands at the door. */
export const Access = z.object({
  claimed: z.boolean().describe('True once a passphrase is set; until then only this machine may come in'),
  accounts: z.array(AccessRole).describe('Roles that have a passphrase'),
  claimNeedsToken: z.boolean().describe('Setting the first passphrase from here needs the token printed at the start'),
  you: z
    .object({ role: AccessRole, sessionId: z.string().nullable().describe('Null: no log-in was needed') })
    .nullable()
    .describe('Null: not in'),
});
export type Access = z.infer<typeof Access>;

export const AccessClaim = z.strictObject({
  passphrase: Passphrase,
  token: Token.optional().describe('As printed at the start; not needed on the machine itself'),
});
export const LogIn = z.strictObject({ account: AccessRole.default('owner'), passphrase: Passphrase });
export const DeviceEntry = z.strictObject({ token: Token.describe('Out of the link made by POST /devices') });

export const SessionList = z.object({
  sessions: z.array(
    z.object({
      sessionId: z.string(),
      role: AccessRole,
      kind: z.enum(['log-in', 'device', 'program']),
      name: z.string(),
      createdAt: z.string(),
      seenAt: z.string().describe('Last use, to the hour'),
      endsAt: z.string().nullable().describe('When it ends if it is not used; null: when it is revoked'),
      yours: z.boolean(),
    }),
  ),
  invitations: z.array(z.object({ name: z.string(), createdAt: z.string(), endsAt: z.string() })),
});
export type SessionList = z.infer<typeof SessionList>;

export const NewDevice = z.strictObject({ name: ShortText });
export const NewDeviceLink = z.object({
  path: z.string().describe('Open it on the tablet, once, within a day: it is let in to look, until it is revoked'),
});
export const NewProgram = z.strictObject({ name: ShortText, role: AccessRole.exclude(['owner']) });
export const NewProgramKey = z.object({
  key: z.string().describe('Shown once. Send it as "Authorization: Bearer …"'),
  sessionId: z.string(),
});
export const PassphraseChange = z.strictObject({
  passphrase: Passphrase.describe('The new one'),
  yours: Passphrase.describe('The owner’s present passphrase'),
});
