import { expect, test } from 'vitest';
import { ProbeSetting } from '../../../src/contract/catalogue.ts';
import { entryOf, fieldsOf } from '../../../web/components/availability-form/entry.ts';
import { sampleProbe } from '../../../web/components/probe-list/sample-probe.ts';
import { amissWords } from '../../../web/format/times.ts';

test('a topic that is named changes nothing else of its probe', () => {
  const probe = sampleProbe({
    pointer: '/t',
    unit: '[degF]',
    place: 'wall',
    calibration: [{ from: '2026-11-01T00:00:00Z', offset: 0.5, gain: 1 }],
  });
  const entry = ProbeSetting.parse(entryOf(probe, { topic: ' shelf/status ', online: '', offline: ' gone ' }));
  expect(entry).toEqual({
    topic: probe.topic,
    pointer: '/t',
    unit: '[degF]',
    quantity: 'beer-temperature',
    of: 'left',
    reference: null,
    place: 'wall',
    timeUnit: null,
    calibration: probe.calibration,
    availability: { topic: 'shelf/status', online: null, offline: 'gone' },
  });
  expect(fieldsOf(entry)).toEqual({ topic: 'shelf/status', online: '', offline: 'gone' });
});

test('an empty topic means that the device says so nowhere', () => {
  const probe = sampleProbe({ availability: { topic: 'shelf/status', online: null, offline: null } });
  expect(entryOf(probe, { topic: ' ', online: 'x', offline: '' })).toMatchObject({ availability: null });
  expect(fieldsOf(sampleProbe())).toEqual({ topic: '', online: '', offline: '' });
});

test('why nothing rests on a probe is said with the clock on the wall', () => {
  const nowMs = Date.parse('2026-11-25T12:00:00Z');
  const zone = 'Europe/Vienna';
  expect(amissWords({ kind: 'offline', since: '2026-11-25T11:02:00Z' }, nowMs, zone)).toBe('offline since 12:02');
  expect(amissWords({ kind: 'stuck', since: '2026-11-23T11:02:00Z' }, nowMs, zone)).toBe('stuck since Mon 12:02');
  expect(amissWords({ kind: 'offline', since: null }, nowMs, zone)).toBe('offline');
});
