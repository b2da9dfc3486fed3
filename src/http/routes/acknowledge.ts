import type { FastifyReply } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import { z } from 'zod';
import type { LinkState } from '../../app/acknowledge-links.ts';
import { ACKNOWLEDGE_STYLE_HASH, acknowledgePage } from '../acknowledge-page.ts';
import { PROBLEM_ANSWERS, type Routes } from './route.ts';

const Params = z.object({ token: z.string().min(1).max(900) });
const Page = z.string().describe('text/html: what the alert is about, and a button while there is something to do');
const STATUS: Readonly<Record<LinkState['kind'], 200 | 404 | 410>> = {
  usable: 200,
  acknowledged: 200,
  over: 410,
  expired: 410,
  renewed: 410,
  unknown: 404,
};
/** What a form may say of itself (bytes); ours says nothing. */
const FORM_BYTES_MAX = 1024;
const POLICY = `default-src 'none'; style-src '${ACKNOWLEDGE_STYLE_HASH}'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'`;

/** At the root, for people who are not logged in: the signed token in the address is the proof, not a cookie. */
export const acknowledgeRoutes: Routes = (server, { acknowledgeLinks }) => {
  // Within this scope alone a form may be sent. A page elsewhere gains nothing: it would need the token.
  void server.register((scope, _options, done) => {
    scope.addContentTypeParser(
      'application/x-www-form-urlencoded',
      { parseAs: 'string', bodyLimit: FORM_BYTES_MAX },
      (_request, _body, parsed) => parsed(null),
    );
    const api = scope.withTypeProvider<ZodTypeProvider>();
    const schema = {
      params: Params,
      response: { 200: Page, 404: Page, 410: Page, ...PROBLEM_ANSWERS },
    };
    const options = { schema, serializerCompiler: () => (page: unknown) => String(page) };
    api.get('/acknowledge/:token', options, ({ params }, reply) => {
      const state = acknowledgeLinks.look(params.token);
      return answer(reply, STATUS[state.kind], acknowledgePage(state, false));
    });
    api.post('/acknowledge/:token', options, ({ params }, reply) => {
      const state = acknowledgeLinks.use(params.token);
      return answer(reply, STATUS[state.kind], acknowledgePage(state, true));
    });
    done();
  });
};

function answer(reply: FastifyReply, status: 200 | 404 | 410, page: string): string {
  void reply
    .code(status)
    .type('text/html; charset=utf-8')
    .header('content-security-policy', POLICY)
    // With no-referrer a browser sends our own form with "Origin: null", which is no page of ours.
    .header('referrer-policy', 'same-origin')
    .header('x-robots-tag', 'noindex');
  return page;
}
