/** Aim: mail goes out whole, encrypted where it was asked for, once, and nothing but one mail to one address. A real SMTP server. */
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import { SMTPServer, type SMTPServerOptions } from 'smtp-server';
import { afterEach, describe, expect, test } from 'vitest';
import { systemClock } from '../../../src/adapters/clock/system-clock.ts';
import { guardedFindAddress } from '../../../src/adapters/outgoing/find-address.ts';
import { smtpChannel } from '../../../src/adapters/smtp/smtp-channel.ts';
import type { EmailSetting } from '../../../src/domain/delivery/channel.ts';
import { aMessage, NOBODY } from '../../support/outgoing-message.ts';
import { TEST_CERTIFICATE, TEST_KEY } from '../../support/test-certificate.ts';

interface Mail {
  readonly from: string;
  readonly to: readonly string[];
  readonly text: string;
  readonly isEncrypted: boolean;
}

const closers: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0)) await close();
});

async function aMailServer(options: SMTPServerOptions = {}) {
  const mails: Mail[] = [];
  const logins: string[] = [];
  const server = new SMTPServer({
    key: TEST_KEY,
    cert: TEST_CERTIFICATE,
    authOptional: true,
    onAuth({ username, password }, _session, done) {
      logins.push(`${username} ${password}`);
      if (password === 'hop-garden') done(null, { user: username ?? '' });
      else done(Object.assign(new Error(`no, not with ${password}`), { responseCode: 535 }));
    },
    onData(stream, session, done) {
      const chunks: Buffer[] = [];
      stream.on('data', (chunk: Buffer) => chunks.push(chunk));
      stream.on('end', () => {
        const { mailFrom, rcptTo } = session.envelope;
        mails.push({
          from: mailFrom === false ? '' : mailFrom.address,
          to: rcptTo.map(({ address }) => address),
          text: Buffer.concat(chunks).toString('utf8'),
          isEncrypted: session.secure,
        });
        done(null, 'queued as 42');
      });
    },
    ...options,
  });
  server.on('error', () => {});
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  closers.push(() => new Promise((resolve) => server.close(() => resolve())));
  return { mails, logins, port: (server.server.address() as AddressInfo).port };
}

function mailTo(port: number, change: Partial<EmailSetting> = {}, { stepMsMax = 3000 } = {}) {
  const setting: EmailSetting = {
    kind: 'email',
    host: 'mail.quietkeg.test',
    port,
    security: 'starttls',
    user: null,
    password: null,
    from: 'keg@club.example',
    ...change,
  };
  const findAddress = guardedFindAddress(true, async () => [{ address: '127.0.0.1', family: 4 }]);
  return smtpChannel(setting, { findAddress, clock: systemClock, ca: TEST_CERTIFICATE, stepMsMax });
}

const anna = { ...NOBODY, address: 'anna@club.example' };
const unfolded = (text: string) => text.replace(/\r\n[ \t]+/g, ' ');
const headerOf = (mail: Mail | undefined, name: string) => {
  const head = unfolded(mail?.text.split('\r\n\r\n')[0] ?? '');
  return head.split('\r\n').filter((line) => line.toLowerCase().startsWith(`${name.toLowerCase()}:`));
};

describe('a mail', () => {
  test.each(['starttls', 'tls', 'none'] as const)(
    'goes out with security %s, and the server’s own answer is told',
    async (security) => {
      const { mails, port } = await aMailServer({ secure: security === 'tls' });
      expect(await mailTo(port, { security }).send(aMessage(), anna)).toEqual({
        kind: 'taken',
        answer: '250 queued as 42',
      });
      expect(mails).toMatchObject([
        { from: 'keg@club.example', to: ['anna@club.example'], isEncrypted: security !== 'none' },
      ]);
    },
  );

  test('has one Message-ID however often it is sent, says that a program wrote it, and all that there is to say', async () => {
    const { mails, port } = await aMailServer();
    const channel = mailTo(port);
    await channel.send(aMessage({ level: 'urgent' }), anna);
    await channel.send(aMessage({ level: 'urgent' }), anna);
    expect(mails.map((mail) => headerOf(mail, 'message-id'))).toEqual(
      Array.from({ length: 2 }, () => ['Message-ID: <message-1@quietkeg.invalid>']),
    );
    const [mail] = mails;
    expect(headerOf(mail, 'auto-submitted')).toEqual(['Auto-Submitted: auto-generated']);
    expect(headerOf(mail, 'date')).toEqual(['Date: Mon, 01 Jun 2026 12:00:00 +0000']);
    expect(headerOf(mail, 'importance')).toEqual(['Importance: High']);
    expect(headerOf(mail, 'subject')).toEqual([
      expect.stringMatching(/^Subject: =\?UTF-8\?Q\?Harvest_Amber_is_warm=3A_6=2E1/),
    ]);
    expect(mail?.text).toMatch(/What to do: Close the door\./);
  });

  test('logs in where a password is set, and never repeats it', async () => {
    const { mails, logins, port } = await aMailServer();
    const login = { user: 'keg', password: 'hop-garden' };
    expect(await mailTo(port, login).send(aMessage(), anna)).toMatchObject({ kind: 'taken' });
    expect(logins).toEqual(['keg hop-garden']);
    const wrong = await mailTo(port, { user: 'keg', password: 'barley-field' }).send(aMessage(), anna);
    expect(wrong).toMatchObject({ kind: 'failed', isCertain: true });
    expect(wrong.answer).toMatch(/^535 /);
    expect(mails).toHaveLength(1);
  });

  test('does not go out in the clear where encryption was asked for and cannot be had', async () => {
    const { mails, logins, port } = await aMailServer({ disabledCommands: ['STARTTLS'] });
    const delivery = await mailTo(port, { user: 'keg', password: 'hop-garden' }).send(aMessage(), anna);
    expect(delivery).toMatchObject({ kind: 'failed', isCertain: true });
    expect([mails, logins]).toEqual([[], []]);
  });

  test('does not go to a server with another’s certificate', async () => {
    const { mails, port } = await aMailServer();
    const delivery = await mailTo(port, { host: 'other.quietkeg.test' }).send(aMessage(), anna);
    expect(delivery).toMatchObject({ kind: 'failed', isCertain: true });
    expect(delivery.answer).toMatch(/altnames|certificate/i);
    expect(mails).toEqual([]);
  });

  test('is one mail to one address, whatever stands in names and messages', async () => {
    const { mails, port } = await aMailServer();
    const evil = 'x\r\nBcc: eve@evil.example\r\n\r\nbody\r\n.\r\nMAIL FROM:<eve@evil.example>';
    await mailTo(port).send(aMessage({ subject: evil, details: `.\r\n${evil}` }), anna);
    expect(mails.map(({ to }) => to)).toEqual([['anna@club.example']]);
    expect(headerOf(mails[0], 'bcc')).toEqual([]);
    expect(headerOf(mails[0], 'subject')).toHaveLength(1);
    const delivery = await mailTo(port).send(aMessage(), {
      ...NOBODY,
      address: 'anna@club.example\r\nRCPT TO:<eve@evil.example>',
    });
    expect(mails.slice(1).flatMap(({ to }) => to)).not.toContain('eve@evil.example');
    expect(['taken', 'refused', 'failed']).toContain(delivery.kind);
  });
});

describe('a mail server', () => {
  const answering = (responseCode: number): SMTPServerOptions => ({
    onRcptTo(_address, _session, done) {
      done(Object.assign(new Error('mailbox says no'), { responseCode }));
    },
  });

  test.each([
    [550, { kind: 'refused', answer: '550 mailbox says no' }],
    [450, { kind: 'failed', isCertain: true, answer: '450 mailbox says no' }],
  ])('that answers %d to the recipient means %j', async (code, wanted) => {
    const { port } = await aMailServer(answering(code));
    expect(await mailTo(port).send(aMessage(), anna)).toMatchObject(wanted);
  });

  test('that refuses the text refuses the message', async () => {
    const { port } = await aMailServer({
      onData(stream, _session, done) {
        stream.resume();
        stream.on('end', () => done(Object.assign(new Error('too much beer'), { responseCode: 552 })));
      },
    });
    expect(await mailTo(port).send(aMessage(), anna)).toMatchObject({ kind: 'refused', answer: '552 too much beer' });
  });

  test('that takes the text and says nothing may have it', async () => {
    const { port } = await aMailServer({ onData: (stream) => void stream.resume() });
    const delivery = await mailTo(port, {}, { stepMsMax: 300 }).send(aMessage(), anna);
    expect(delivery).toMatchObject({ kind: 'failed', isCertain: false });
  });

  test('that is not there, is silent, or must not be spoken to got nothing', async () => {
    const { port } = await aMailServer();
    for (const close of closers.splice(0)) await close();
    expect(await mailTo(port).send(aMessage(), anna)).toMatchObject({ kind: 'failed', isCertain: true });

    const sockets: Socket[] = [];
    const silent: Server = createServer((socket) => void sockets.push(socket));
    await new Promise<void>((resolve) => silent.listen(0, '127.0.0.1', resolve));
    closers.push(async () => {
      for (const socket of sockets) socket.destroy();
      await new Promise((resolve) => silent.close(resolve));
    });
    const silentPort = (silent.address() as AddressInfo).port;
    expect(await mailTo(silentPort, {}, { stepMsMax: 300 }).send(aMessage(), anna)).toMatchObject({
      kind: 'failed',
      isCertain: true,
    });

    const setting = {
      kind: 'email',
      host: '169.254.169.254',
      port: 25,
      security: 'none',
      user: null,
      password: null,
      from: 'a@b.example',
    } as const;
    const findAddress = () => new Promise<never>(() => {});
    const unfound = smtpChannel(
      { ...setting, host: 'slow.example' },
      { findAddress, clock: systemClock, totalMsMax: 50 },
    );
    expect(await unfound.send(aMessage(), anna)).toMatchObject({ kind: 'failed', isCertain: true });
    const guarded = smtpChannel(setting, { findAddress: guardedFindAddress(true), clock: systemClock });
    const delivery = await guarded.send(aMessage(), anna);
    expect(delivery).toMatchObject({ kind: 'failed', isCertain: true });
    expect(delivery.answer).toMatch(/link-local address: nothing is sent there/);
    expect(await guarded.send(aMessage(), NOBODY)).toMatchObject({ kind: 'refused' });
  });
});
