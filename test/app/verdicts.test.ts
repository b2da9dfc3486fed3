import { beforeEach, describe, expect, test } from 'vitest';
import { openCatalogueFile } from '../../src/adapters/sqlite/sqlite-catalogue.ts';
import { SqliteJournal } from '../../src/adapters/sqlite/sqlite-journal.ts';
import { Verdicts } from '../../src/app/verdicts.ts';
import { kegFactsAt } from '../../src/domain/keg-facts.ts';
import { judge, type VerdictKind } from '../../src/domain/verdict/judge.ts';
import { aBasis, aFilling, anEvent, anOutlook, DAY, HOUR, MINUTE, NOON, SECOND } from '../support/builders.ts';

let journal: SqliteJournal;
let verdicts: Verdicts;
beforeEach(() => {
  journal = new SqliteJournal(openCatalogueFile(':memory:'));
  verdicts = new Verdicts(journal);
});

const facts = kegFactsAt([anEvent(NOON - 21 * DAY, aFilling())], NOON);

/** A day at a trembling thermometer: what is said of a beer at so many °C, each half minute. */
function saidOf(temperatures: readonly number[], kpaGauge = 61): { kinds: VerdictKind[]; changes: number } {
  const kinds = temperatures.map((beerC, index) => {
    const passed = verdicts.passed('one');
    const judged = judge(aBasis({ beerC, kpaGauge, facts, dissolved: anOutlook({ volumes: 2.2 }), rest: { passed } }));
    return verdicts.settle('one', judged, false, NOON + index * 30 * SECOND).verdict.kind;
  });
  const changes = kinds.filter((kind, index) => index > 0 && kind !== kinds[index - 1]).length;
  return { kinds, changes };
}

describe('a verdict does not flicker', () => {
  test('while beer cools past its limit by a noisy thermometer', () => {
    // From 3 to 1.5 °C in two hours, with a noise of 0.15 °C.
    const temperatures = Array.from({ length: 240 }, (_, i) => 3 - i / 160 + 0.15 * Math.sin(i * 2.3));
    const { kinds, changes } = saidOf(temperatures);
    expect(kinds[0]).toBe('wait');
    expect(kinds.at(-1)).toBe('ready');
    expect(changes).toBe(1);
  });

  test('while a compressor comes and goes around the limit', () => {
    const temperatures = Array.from({ length: 960 }, (_, i) => 2.15 + 0.3 * Math.sin(i / 6));
    // Ready once it was below the limit for a minute, and then it stays so.
    expect(saidOf(temperatures).changes).toBeLessThanOrEqual(1);
  });

  test('but beer that gets warm is not called ready for long', () => {
    const temperatures = Array.from({ length: 240 }, (_, i) => (i < 60 ? 1.5 : 1.5 + (i - 60) / 60));
    const { kinds } = saidOf(temperatures);
    expect(kinds[59]).toBe('ready');
    // 2.5 °C, half a degree above the fill temperature.
    expect(kinds[121]).toBe('wait');
  });
});

describe('what was said', () => {
  const ready = judge(aBasis({ beerC: 1.5, kpaGauge: 61, facts, dissolved: anOutlook({ volumes: 2.2 }) }));
  const warm = judge(aBasis({ beerC: 6, kpaGauge: 80, facts, dissolved: anOutlook({ volumes: 2.2 }) }));

  test('holds since it was first said, over restarts', () => {
    verdicts.settle('one', warm, false, NOON);
    expect(verdicts.settle('one', warm, false, NOON + HOUR).sinceMs).toBe(NOON);
    const again = new Verdicts(journal);
    expect(again.settle('one', warm, false, NOON + 2 * HOUR).sinceMs).toBe(NOON);
  });

  test('is not changed by a start, while the estimate is not there yet', () => {
    verdicts.settle('one', ready, false, NOON);
    const unknown = judge(aBasis({ beerC: 1.5, kpaGauge: 61, facts, dissolved: null }));
    const again = new Verdicts(journal);
    expect(again.settle('one', unknown, true, NOON + HOUR)).toMatchObject({
      sinceMs: NOON,
      verdict: { kind: 'unknown' },
    });
    expect(again.settle('one', ready, false, NOON + HOUR + MINUTE)).toMatchObject({
      sinceMs: NOON,
      verdict: { kind: 'ready' },
    });
  });

  test('is kept, to be looked back at', () => {
    verdicts.settle('one', warm, false, NOON);
    verdicts.settle('one', ready, false, NOON + HOUR);
    verdicts.settle('one', ready, false, NOON + HOUR + MINUTE);
    verdicts.settle('one', warm, false, NOON + 5 * HOUR);
    verdicts.settle('two', ready, false, NOON);
    const kinds = (fromMs: number, toMs: number) => journal.verdictsWithin('one', fromMs, toMs).map(({ kind }) => kind);
    expect(journal.verdictsWithin('one', NOON, NOON + 10 * HOUR)).toEqual([
      { atMs: NOON, kind: 'wait', headline: warm.headline },
      { atMs: NOON + HOUR + MINUTE, kind: 'ready', headline: 'Fill whenever you like.' },
      { atMs: NOON + 5 * HOUR, kind: 'wait', headline: warm.headline },
    ]);
    expect(kinds(NOON + 2 * HOUR, NOON + 3 * HOUR)).toEqual(['ready']);
    expect(kinds(NOON - 2 * HOUR, NOON)).toEqual([]);
  });
});
