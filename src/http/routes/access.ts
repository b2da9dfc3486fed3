import type { FastifyReply, FastifyRequest } from 'fastify';
import { z } from 'zod';
import type { Access as Door, Entered, Visitor } from '../../app/access.ts';
import {
  Access,
  AccessClaim,
  AccessRole,
  DeviceEntry,
  LogIn,
  NewDevice,
  NewDeviceLink,
  NewProgram,
  NewProgramKey,
  PassphraseChange,
  SessionList,
} from '../../contract/index.ts';
import { browserWords } from '../access/browser-words.ts';
import { clearCookie, setCookie } from '../access/cookies.ts';
import { cookiePlace } from '../access/guard.ts';
import { granted, HttpProblem } from '../problems.ts';
import { type Api, NO_CONTENT, PROBLEM_ANSWERS } from './route.ts';

const SessionParams = z.object({ sessionId: z.string().min(1).max(80) });
const RoleParams = z.object({ role: AccessRole });
const LesserRoleParams = z.object({ role: AccessRole.exclude(['owner']) });

/** The door: coming in, going out, and who is in. */
export const accessRoutes = (api: Api, access: Door): void => {
  const answer = { 200: Access, ...PROBLEM_ANSWERS };
  /** Gives the browser its cookie, and tells it what it is now. */
  const enter = (request: FastifyRequest, reply: FastifyReply, { token, session }: Entered) => {
    void reply.header('set-cookie', setCookie(token, cookiePlace(request)));
    return access.present({ role: session.role, session }, visitorOf(request));
  };
  api.get('/access', { schema: { response: answer } }, (request) => access.present(request.caller, visitorOf(request)));
  api.post('/access/claim', { schema: { body: AccessClaim, response: answer } }, async (request, reply) => {
    const { passphrase, token = null } = request.body;
    return enter(request, reply, granted(await access.claim(visitorOf(request), passphrase, token, browser(request))));
  });
  api.post('/session', { schema: { body: LogIn, response: answer } }, async (request, reply) => {
    const { account, passphrase } = request.body;
    return enter(
      request,
      reply,
      granted(await access.logIn(visitorOf(request), account, passphrase, browser(request))),
    );
  });
  api.delete('/session', { schema: { response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } }, (request, reply) => {
    const { cookie } = visitorOf(request);
    if (cookie !== null) access.logOut(cookie);
    void reply.header('set-cookie', clearCookie(cookiePlace(request))).code(204);
    return null;
  });
  api.post('/session/device', { schema: { body: DeviceEntry, response: answer } }, (request, reply) =>
    enter(request, reply, granted(access.enterDevice(visitorOf(request), request.body.token))),
  );
  sessionRoutes(api, access);
};

function sessionRoutes(api: Api, access: Door): void {
  api.get('/sessions', { schema: { response: { 200: SessionList, ...PROBLEM_ANSWERS } } }, (request) => {
    if (request.caller === null) throw new HttpProblem('log-in-needed', 'Log in first.');
    return access.sessions(request.caller);
  });
  api.delete(
    '/sessions/:sessionId',
    { schema: { params: SessionParams, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      granted(access.revoke(request.params.sessionId));
      void reply.code(204);
      return null;
    },
  );
  api.post(
    '/devices',
    { schema: { body: NewDevice, response: { 200: NewDeviceLink, ...PROBLEM_ANSWERS } } },
    (request) => ({
      // Behind the #: browsers keep that to themselves, so it stands in no log.
      path: `/tablet#${granted(access.invite(request.body.name))}`,
    }),
  );
  api.post(
    '/programs',
    { schema: { body: NewProgram, response: { 200: NewProgramKey, ...PROBLEM_ANSWERS } } },
    (request) => {
      const { token, session } = granted(access.addProgram(request.body.name, request.body.role));
      return { key: token, sessionId: session.sessionId };
    },
  );
  api.put(
    '/passphrases/:role',
    { schema: { params: RoleParams, body: PassphraseChange, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    async (request, reply) => {
      const { passphrase, yours } = request.body;
      const { role } = request.params;
      const entered = granted(
        await access.putPassphrase(visitorOf(request), role, passphrase, yours, browser(request)),
      );
      // Everybody was put out, the owner too, who is here and comes in anew.
      if (entered !== null) void reply.header('set-cookie', setCookie(entered.token, cookiePlace(request)));
      void reply.code(204);
      return null;
    },
  );
  api.delete(
    '/passphrases/:role',
    { schema: { params: LesserRoleParams, response: { 204: NO_CONTENT, ...PROBLEM_ANSWERS } } },
    (request, reply) => {
      access.removePassphrase(request.params.role);
      void reply.code(204);
      return null;
    },
  );
}

function visitorOf({ visitor }: FastifyRequest): Visitor {
  if (visitor === null) throw new Error('a request came past the guard');
  return visitor;
}

const browser = (request: FastifyRequest): string => browserWords(request.headers['user-agent']);
