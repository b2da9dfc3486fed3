import { expect, test } from 'vitest';
import { influxTrouble } from '../../../src/adapters/influx/influx-trouble.ts';

/** Bodies as InfluxDB 1.6.7 sends them, in the words the client puts around them; test/containers asks the real server. */
const answer = (status: string, error: string) =>
  new Error(`A ${status} error occurred: ${JSON.stringify({ error })}\n`);

test.each([
  [
    answer('400 Bad Request', 'partial write: points beyond retention policy dropped=7'),
    { kind: 'points-refused', reason: "older than the database's retention policy keeps", dropped: 7 },
  ],
  [
    answer('400 Bad Request', 'partial write: field type conflict: input field "value" is type float dropped=1'),
    { kind: 'points-refused', reason: 'field type conflict: input field "value" is type float', dropped: 1 },
  ],
  [
    answer('400 Bad Request', "unable to parse 'x': missing fields"),
    { kind: 'points-refused', reason: "unable to parse 'x': missing fields", dropped: null },
  ],
  [answer('404 Not Found', 'database not found: "quietkeg"'), { kind: 'no-database' }],
  [new Error('database not found: quietkeg'), { kind: 'no-database' }],
  [answer('413 Request Entity Too Large', 'Request Entity Too Large'), { kind: 'too-large' }],
])('%s', (error, trouble) => {
  expect(influxTrouble(error)).toEqual(trouble);
});

test.each([
  [
    'a limit of series',
    answer('400 Bad Request', 'partial write: max-series-per-database limit exceeded: (2) dropped=4'),
  ],
  ['a wrong password', answer('401 Unauthorized', 'authorization failed')],
  ['a user without rights', answer('403 Forbidden', 'not allowed')],
  ['a request it does not understand', answer('400 Bad Request', 'error parsing query')],
])('%s is a matter of settings, not of readings', (_, error) => {
  expect(influxTrouble(error).kind).toBe('settings');
});

test.each([
  ['a server error', new Error('Internal Server Error')],
  ['a refused connection', new Error('connect ECONNREFUSED 127.0.0.1:8086')],
  ['a time-out', new Error('Request timed out')],
  ['a proxy that answers in HTML', new Error('A 302 Found error occurred: <html>moved</html>')],
])('%s passes', (_, error) => {
  expect(influxTrouble(error).kind).toBe('passing');
});
