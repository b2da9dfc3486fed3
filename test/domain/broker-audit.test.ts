import { describe, expect, test } from 'vitest';
import { auditBroker, type BrokerFacts, type FindingName } from '../../src/domain/broker-audit.ts';
import { NOON } from '../support/builders.ts';

const UNSEEN: BrokerFacts = {
  version: null,
  sessionResumed: null,
  wasKnown: false,
  leftAtMs: null,
  startedAtMs: null,
  droppedTotal: null,
  droppedSeen: 0,
  grantedQos: null,
  anonymousAllowed: null,
};
const RESTARTED = { wasKnown: true, leftAtMs: NOON, startedAtMs: NOON + 1 };
const STAYED = { wasKnown: true, leftAtMs: NOON, startedAtMs: NOON - 1 };
const PERSISTENCE = /^persistence true\nautosave_interval 1\nautosave_on_changes true$/;

const found = (name: FindingName, change: Partial<BrokerFacts>) => {
  const finding = auditBroker({ ...UNSEEN, ...change }).find((one) => one.name === name);
  return [finding?.state, finding?.setting];
};

describe('a broker elsewhere is asked', () => {
  test.each([
    [{}, 'unknown', null],
    [{ sessionResumed: true }, 'good', null],
    [{ sessionResumed: false }, 'good', null],
    [{ sessionResumed: false, ...RESTARTED }, 'act', expect.stringMatching(PERSISTENCE)],
    [{ sessionResumed: false, ...STAYED }, 'act', 'persistent_client_expiration 14d'],
    [{ sessionResumed: false, ...STAYED, startedAtMs: null }, 'act', 'persistent_client_expiration 14d'],
  ] as const)('whether it kept our session: %j', (change, state, setting) => {
    expect(found('session', change)).toEqual([state, setting]);
  });

  test.each([
    [{ sessionResumed: true, ...RESTARTED }, 'good', null],
    [{ sessionResumed: false, ...RESTARTED }, 'act', expect.stringMatching(PERSISTENCE)],
    [{ sessionResumed: true, ...STAYED }, 'unknown', expect.stringMatching(PERSISTENCE)],
    [{ sessionResumed: false, ...RESTARTED, wasKnown: false }, 'unknown', expect.stringMatching(PERSISTENCE)],
  ] as const)('whether it writes to disk: %j', (change, state, setting) => {
    expect(found('persistence', change)).toEqual([state, setting]);
  });

  test.each([
    [{}, 'unknown', null],
    [{ droppedTotal: 0 }, 'good', null],
    [{ droppedTotal: 7 }, 'good', null],
    [{ droppedTotal: 7, droppedSeen: 2 }, 'act', 'max_queued_messages 0\nmax_queued_bytes 0'],
  ] as const)('what it threw away: %j', (change, state, setting) => {
    expect(found('dropped', change)).toEqual([state, setting]);
  });

  test.each([
    [null, 'unknown', null],
    [0, 'act', 'max_qos 2'],
    [1, 'good', null],
    [128, 'act', null],
    [135, 'act', null],
  ] as const)('what it granted us: %j', (grantedQos, state, setting) => {
    expect(found('subscription', { grantedQos })).toEqual([state, setting]);
  });

  test.each([
    [null, 'unknown', null],
    [false, 'good', null],
    [true, 'act', expect.stringMatching(/^allow_anonymous false\npassword_file /)],
  ] as const)('whether anybody may publish: %j', (anonymousAllowed, state, setting) => {
    expect(found('anonymous', { anonymousAllowed })).toEqual([state, setting]);
  });
});
