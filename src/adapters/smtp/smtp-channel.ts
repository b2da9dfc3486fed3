import { isIP } from 'node:net';
import { createTransport, type Transporter } from 'nodemailer';
import type { EmailSetting } from '../../domain/delivery/channel.ts';
import { oneLine } from '../../domain/delivery/one-line.ts';
import type { Channel, Delivery, OutgoingMessage } from '../../ports/channel.ts';
import type { Clock } from '../../ports/clock.ts';
import type { FindAddress } from '../../ports/outgoing.ts';

/** For each step of the conversation, and for all of it (ms). */
const STEP_MS_MAX = 10_000;
const TOTAL_MS_MAX = 30_000;

export interface SmtpOptions {
  readonly findAddress: FindAddress;
  readonly clock: Clock;
  readonly stepMsMax?: number;
  readonly totalMsMax?: number;
  /** Certificate authorities to trust instead of the usual ones. */
  readonly ca?: string;
}

/** E-mail through a mail server (RFC 5321). The same message always has the same Message-ID. */
export function smtpChannel(setting: EmailSetting, options: SmtpOptions): Channel {
  return {
    async send(message, { address: to }) {
      if (to === null) return { kind: 'refused', answer: 'the person has no mail address for this channel' };
      const progress: Progress = { textOffered: false };
      let stopTimer = () => {};
      let isOver = false;
      let transport: Transporter | null = null;
      const overdue = new Promise<Delivery>((resolve) => {
        stopTimer = options.clock.after(options.totalMsMax ?? TOTAL_MS_MAX, () => {
          isOver = true;
          // A conversation that has begun cannot be stopped at once, and may come to its end yet.
          resolve(failed('the mail server takes too long', transport === null));
        });
      });
      const conversation = async () => {
        const found = await options.findAddress(setting.host);
        if (!found.ok) return failed(found.why, true);
        if (isOver) return failed('too late', true);
        transport = connect(setting, found.address, options, progress);
        return await deliver(transport, setting.from, to, message, progress);
      };
      try {
        return await Promise.race([conversation(), overdue]);
      } finally {
        stopTimer();
        (transport as Transporter | null)?.close();
      }
    },
  };
}

function failed(answer: string, isCertain: boolean): Delivery {
  return { kind: 'failed', answer, isCertain, retryAfterMs: null };
}

/** Whether the text was offered to the server: from then on it may have it, however the conversation ends. */
interface Progress {
  textOffered: boolean;
}

function connect(
  { host, port, security, user, password }: EmailSetting,
  address: string,
  options: SmtpOptions,
  progress: Progress,
): Transporter {
  const stepMs = options.stepMsMax ?? STEP_MS_MAX;
  return createTransport({
    // The address that was judged; the certificate must still be the host's.
    host: address,
    port,
    secure: security === 'tls',
    requireTLS: security === 'starttls',
    ignoreTLS: security === 'none',
    tls: {
      ...(isIP(host) === 0 ? { servername: host } : {}),
      ...(options.ca === undefined ? {} : { ca: options.ca }),
    },
    ...(user === null || password === null ? {} : { auth: { user, pass: password } }),
    connectionTimeout: stepMs,
    greetingTimeout: stepMs,
    socketTimeout: stepMs,
    // The only word of where in the conversation it is; nothing of it is kept.
    transactionLog: true,
    logger: {
      debug: (entry: { readonly tnx?: unknown }, text?: unknown) => {
        if (entry.tnx === 'client' && text === 'DATA') progress.textOffered = true;
      },
      info: () => {},
      warn: () => {},
      error: () => {},
    },
    disableFileAccess: true,
    disableUrlAccess: true,
  });
}

async function deliver(
  transport: Transporter,
  from: string,
  to: string,
  message: OutgoingMessage,
  progress: Progress,
): Promise<Delivery> {
  try {
    const { response } = await transport.sendMail({
      from: { name: 'Quietkeg', address: from },
      to: { name: '', address: to },
      subject: oneLine(message.subject),
      text: `${message.details}\n`,
      messageId: `<${message.id}@quietkeg.invalid>`,
      date: new Date(message.atMs),
      priority: message.level === 'urgent' ? 'high' : 'normal',
      // RFC 3834: no answering machine shall answer us.
      headers: { 'Auto-Submitted': 'auto-generated' },
    });
    return { kind: 'taken', answer: String(response) };
  } catch (error) {
    return smtpFailure(error as SmtpError, progress);
  }
}

interface SmtpError extends Error {
  readonly code?: string;
  readonly responseCode?: number;
  readonly response?: string;
}

/**
 * What a failed attempt means. @source RFC 5321, section 4.2.1: 5yz is for good, 4yz for now. A server that will not let us
 * in says nothing of the message: it is tried again when somebody may have mended the settings.
 */
function smtpFailure({ code, responseCode, response, message }: SmtpError, { textOffered }: Progress): Delivery {
  const answer = oneLine(response ?? message, 200);
  if (responseCode === undefined) return failed(answer, !textOffered);
  const isAboutMessage = code === 'EENVELOPE' || code === 'EMESSAGE';
  if (responseCode >= 500 && isAboutMessage) return { kind: 'refused', answer };
  return failed(answer, true);
}
