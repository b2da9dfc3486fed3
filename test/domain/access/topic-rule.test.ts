import { describe, expect, test } from 'vitest';
import { filterFault, isWithin } from '../../../src/domain/access/topic-rule.ts';

describe('what a subscription asks for is within what is allowed', () => {
  test.each<[asked: string, allowed: string, isWithin: boolean]>([
    ['quietkeg/one/state', 'quietkeg/#', true],
    ['quietkeg/#', 'quietkeg/#', true],
    ['quietkeg', 'quietkeg/#', true],
    ['quietkeg/+/state', 'quietkeg/+/state', true],
    ['quietkeg/one/state', 'quietkeg/+/state', true],
    ['a/b', 'a/b', true],
    ['#', '#', true],
    ['#', 'quietkeg/#', false],
    ['+/one', 'quietkeg/#', false],
    ['quietkeg/#', 'quietkeg/+', false],
    ['quietkeg/+/state', 'quietkeg/one/state', false],
    ['quietkeg/one', 'quietkeg/+/state', false],
    ['quietkeg/one/state/more', 'quietkeg/+/state', false],
    ['$SYS/broker', '#', false],
    ['$SYS/broker', '+/broker', false],
    ['$SYS/broker', '$SYS/#', true],
    ['probes/#', 'quietkeg/#', false],
  ])('%s within %s: %s', (asked, allowed, within) => {
    expect(isWithin(asked, allowed)).toBe(within);
  });
});

describe('a filter', () => {
  test.each(['#', '+', 'a/+/b', 'a/#', 'a', Array(20).fill('a').join('/'), 'a'.repeat(500)])('%s will do', (filter) => {
    expect(filterFault(filter)).toBeNull();
  });

  test.each(['', 'a/#/b', 'a#', 'a+/b', Array(21).fill('a').join('/'), 'a'.repeat(501)])('%s will not', (filter) => {
    expect(filterFault(filter)).not.toBeNull();
  });
});
