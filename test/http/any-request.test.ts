/**
 * Aim: no request, however odd, ends in a mistake of ours. Method: requests made from the OpenAPI document over all its
 * routes, mostly of the right form, and messages on any topic. test/program/fuzz.ts does the same for a long time.
 */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { anyPayload } from '../support/hostile-payloads.ts';
import { anHttpWorld, LOCAL_KEY } from '../support/http-world.ts';
import { anyTopic, requestsOf } from '../support/openapi-requests.ts';

test('2,000 requests and messages over all routes and topics end in no mistake of ours', async () => {
  const { server, world, mistakes, ask } = await anHttpWorld();
  world.fill();
  const document = (await ask('GET', '/openapi.json')).json();
  const answered = new Map<number, number>();
  await fc.assert(
    fc.asyncProperty(requestsOf(document), anyTopic, anyPayload, async (request, topic, payload) => {
      // As the program's own commands: a request that sets a passphrase must not shut out all that follow.
      const own = { ...request.headers, authorization: `Bearer ${LOCAL_KEY}` };
      const { statusCode, headers, body } = await server.inject({ ...request, headers: own });
      answered.set(statusCode, (answered.get(statusCode) ?? 0) + 1);
      expect({ statusCode, body: statusCode >= 500 ? body : '' }).toMatchObject({ body: '' });
      // What a person opens out of a message answers with a page, whatever is in its address.
      const isPage = request.url.startsWith('/acknowledge/') && [404, 410].includes(statusCode);
      const refusal = isPage ? 'text/html; charset=utf-8' : 'application/problem+json';
      if (statusCode >= 400) expect(headers['content-type']).toBe(refusal);
      await world.hear(topic, payload.toString('utf8'));
    }),
    { numRuns: 1000, seed: 20260601, endOnFailure: true },
  );
  expect(mistakes).toEqual([]);
  // Enough of them were of the right form: otherwise nothing was tried.
  const good = [...answered].reduce((sum, [status, count]) => sum + (status < 300 ? count : 0), 0);
  expect(good).toBeGreaterThan(200);
  expect(({} as { polluted?: unknown }).polluted).toBeUndefined();
  await server.close();
});
