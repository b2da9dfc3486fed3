import { expect, test } from 'vitest';
import { matchesAny, matchesFilter } from '../../src/domain/topic-filter.ts';

// The examples of MQTT 3.1.1 (OASIS 2014), section 4.7.1 and 4.7.2 (written down from memory).
test.each([
  ['sport/tennis/player1/#', 'sport/tennis/player1', true],
  ['sport/tennis/player1/#', 'sport/tennis/player1/ranking', true],
  ['sport/tennis/player1/#', 'sport/tennis/player1/score/wimbledon', true],
  ['sport/#', 'sport', true],
  ['#', 'sport/tennis', true],
  ['sport/tennis/+', 'sport/tennis/player1', true],
  ['sport/tennis/+', 'sport/tennis/player1/ranking', false],
  ['sport/+', 'sport', false],
  ['sport/+', 'sport/', true],
  ['+/+', '/finance', true],
  ['/+', '/finance', true],
  ['+', '/finance', false],
  ['#', '$SYS/broker', false],
  ['+/monitor/Clients', '$SYS/monitor/Clients', false],
  ['$SYS/#', '$SYS/broker', true],
  ['$SYS/monitor/+', '$SYS/monitor/Clients', true],
  ['probes/#', 'probesx/one', false],
  ['a/b', 'a/b/c', false],
  ['a/b/c', 'a/b', false],
  ['a', 'A', false],
])('%s and %s: %s', (filter, topic, matches) => {
  expect(matchesFilter(filter, topic)).toBe(matches);
});

test('one of several filters is enough', () => {
  expect(matchesAny(['a/#', 'b'], 'b')).toBe(true);
  expect(matchesAny([], 'b')).toBe(false);
});
