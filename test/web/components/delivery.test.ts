import { expect, test } from 'vitest';
import { Delivery } from '../../../src/contract/delivery.ts';
import { clockTrouble } from '../../../src/domain/clock-trust.ts';
import { IN_NEED, WELL } from '../../../web/components/delivery/sample-reports.ts';
import {
  brokerSentence,
  byNeed,
  clockSentence,
  delaySentences,
  ledgerSentence,
  sendingSentence,
} from '../../../web/components/delivery/words.ts';

const LEDGER = { received: 0, stored: 0, duplicates: 0, rejected: 0, waiting: 0 };
const plain = (text: string): string => text.replaceAll('\u00a0', ' ');

test('the samples are what the service answers', () => {
  for (const sample of [WELL, IN_NEED]) expect(Delivery.parse(sample)).toEqual(sample);
});

test.each([
  [{}, 'Since Quietkeg was started no value came in.'],
  [{ received: 1, stored: 1 }, 'Since Quietkeg was started 1 value came in, and it is stored.'],
  [{ received: 15_204, stored: 15_204 }, 'Since Quietkeg was started 15,204 values came in, and all are stored.'],
  [
    { received: 20, stored: 14, duplicates: 3, rejected: 1, waiting: 2 },
    'Since Quietkeg was started 20 values came in: 14 are stored, 3 came twice and count once, 1 was not understood and 2 wait on disk for the store.',
  ],
  [{ received: 1, waiting: 1 }, 'Since Quietkeg was started 1 value came in: 1 waits on disk for the store.'],
])('the ledger %o is said plainly', (part, words) => {
  expect(ledgerSentence({ ...LEDGER, ...part })).toBe(words);
});

test('what holds readings up is said, and how long it takes', () => {
  expect(delaySentences(WELL)).toEqual([]);
  expect(delaySentences(IN_NEED).map(plain)).toEqual(['6,090 values wait for the store. In about 26 s all are in.']);
  const stuck = { ...IN_NEED, catchUp: { waiting: 9_000, perSecond: 0, secondsLeft: null } };
  expect(delaySentences(stuck)).toEqual(['9,000 values wait for the store. The store takes none now.']);
  expect(delaySentences({ ...WELL, clock: clockTrouble({ kind: 'unset' }, 0), heldMessages: 1 })).toEqual([
    'The clock of this machine says 1970-01-01T00:00:00.000Z, which cannot be: set it, or give the machine a network so that it sets itself; what comes in is kept until then.',
    '1 message is held until the time is known.',
  ]);
});

test('a broker elsewhere is named by its version, and what needs somebody comes first', () => {
  expect(brokerSentence(WELL.broker)).toMatch(/own broker/);
  expect(brokerSentence(IN_NEED.broker)).toMatch(/a broker of yours \(mosquitto version 2\.0\.21\)/);
  expect(byNeed(IN_NEED.broker.audit).map(({ state }) => state)).toEqual(['act', 'unknown', 'good']);
});

test('how the probes send is said of all of them together', () => {
  expect(sendingSentence([])).toBe('No probe is known yet.');
  expect(sendingSentence(WELL.probes)).toBe('One probe sends again until answered.');
  expect(sendingSentence(IN_NEED.probes)).toBe(
    'Two probes send again until answered, one sends once and forgets (QoS 0) and of one nothing was heard since the start.',
  );
  const lossy = IN_NEED.probes.filter((probe) => probe.delivery === 'can-be-lost');
  expect(sendingSentence([...lossy, ...lossy])).toBe('Two probes send once and forget (QoS 0).');
  const unheard = IN_NEED.probes.filter((probe) => probe.delivery === 'unknown');
  expect(sendingSentence(unheard)).toBe('Of one probe nothing was heard since the start.');
});

test('a clock that is off is said with its side', () => {
  expect(plain(clockSentence({ clockOffS: 3_600 }))).toBe('Its clock is 1 h behind.');
  expect(plain(clockSentence({ clockOffS: -90 }))).toBe('Its clock is 1 min ahead.');
  expect(clockSentence({ clockOffS: null })).toBe('');
});
