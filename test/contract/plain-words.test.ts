import { expect, test } from 'vitest';
import { AlertMute, EventEntry } from '../../src/contract/index.ts';

test('a limit that itself is not allowed is told as such', () => {
  expect(AlertMute.safeParse({ hours: 0 }).error?.issues[0]?.message).toBe('must be more than 0');
  expect(AlertMute.safeParse({ hours: 200 }).error?.issues[0]?.message).toBe('must be at most 168');
  const drawn = { kind: 'beer-drawn', at: '2026-03-01T12:00:00Z', litres: 0 };
  expect(EventEntry.safeParse(drawn).error?.issues[0]?.message).toBe('must be more than 0');
});
