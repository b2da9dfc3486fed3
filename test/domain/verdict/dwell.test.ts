import { describe, expect, test } from 'vitest';
import { dwell } from '../../../src/domain/verdict/dwell.ts';
import type { Verdict, VerdictKind } from '../../../src/domain/verdict/judge.ts';

const judged = (kind: VerdictKind): Verdict => ({ kind, headline: `${kind}.`, checks: [] });

describe('a verdict', () => {
  test.each(['wait', 'act', 'unknown'] as const)('that is not ready is said at once: %s', (kind) => {
    for (const before of ['ready', 'wait', 'act', 'unknown', null] as const) {
      expect(dwell(judged(kind), before, 0)).toEqual(judged(kind));
    }
  });

  test('becomes ready when all has been right for a minute', () => {
    for (const before of ['wait', 'act', 'unknown'] as const) {
      expect(dwell(judged('ready'), before, 59_999)).toMatchObject({ kind: 'wait', headline: /^Everything is right/ });
      expect(dwell(judged('ready'), before, 60_000)).toEqual(judged('ready'));
    }
  });

  test('stays ready, and the first of all is said as it is', () => {
    expect(dwell(judged('ready'), 'ready', 0)).toEqual(judged('ready'));
    expect(dwell(judged('ready'), null, 0)).toEqual(judged('ready'));
  });
});
