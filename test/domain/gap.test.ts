import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { explainGaps, type GapMark, holesBetween, type Span } from '../../src/domain/gap.ts';
import { MINUTE } from '../support/builders.ts';

const minutes = (from: number, to: number): Span => ({ fromMs: from * MINUTE, toMs: to * MINUTE });
const DAY_SPAN = minutes(0, 1440);
const said = (holes: readonly Span[], marks: readonly GapMark[], within = DAY_SPAN) =>
  explainGaps(holes, marks, within).map(({ cause, fromMs, toMs }) => `${fromMs / MINUTE}–${toMs / MINUTE} ${cause}`);

describe('a hole', () => {
  test('that nothing explains is a silent probe', () => {
    expect(said([minutes(10, 30)], [])).toEqual(['10–30 probe-silent']);
  });

  test('is explained by the service being down, as far as that goes', () => {
    const down: GapMark = { cause: 'service-down', ...minutes(12, 25) };
    expect(said([minutes(10, 30)], [down])).toEqual(['10–12 probe-silent', '12–25 service-down', '25–30 probe-silent']);
  });

  test('keeps no slivers at the edges of what explains it', () => {
    const down: GapMark = { cause: 'service-down', ...minutes(10.5, 29.5) };
    expect(said([minutes(10, 30)], [down])).toEqual(['10.5–29.5 service-down']);
  });

  test('is cut to what is asked for', () => {
    expect(said([minutes(10, 30)], [], minutes(20, 60))).toEqual(['20–30 probe-silent']);
    expect(said([minutes(10, 30)], [], minutes(40, 60))).toEqual([]);
  });
});

describe('a mark', () => {
  test('of the service being down says nothing where nothing is missing in the end', () => {
    expect(said([], [{ cause: 'service-down', ...minutes(10, 20) }])).toEqual([]);
  });

  test.each(['session-lost', 'broker-dropped'] as const)(
    'of %s shows although other readings came through',
    (cause) => {
      expect(said([], [{ cause, ...minutes(10, 20) }])).toEqual([`10–20 ${cause}`]);
      expect(said([minutes(12, 14)], [{ cause, ...minutes(10, 20) }])).toEqual([`10–20 ${cause}`]);
      expect(said([], [{ cause, ...minutes(10, 20) }], minutes(30, 40))).toEqual([]);
      const longer: GapMark = { cause, ...minutes(10, 30) };
      expect(said([], [longer, { cause, ...minutes(10, 20) }])).toEqual([`10–20 ${cause}`, `10–30 ${cause}`]);
    },
  );
});

test('every hole is accounted for but for its edges, and every gap lies in what was asked', () => {
  const span = fc
    .tuple(fc.integer({ min: 0, max: 900 }), fc.integer({ min: 1, max: 300 }))
    .map(([a, d]) => minutes(a, a + d));
  const cause = fc.constantFrom('service-down', 'session-lost', 'broker-dropped' as const);
  const mark = fc.tuple(cause, span).map(([one, at]): GapMark => ({ cause: one as GapMark['cause'], ...at }));
  fc.assert(
    fc.property(span, fc.array(mark, { maxLength: 4 }), (hole, marks) => {
      const gaps = explainGaps([hole], marks, DAY_SPAN);
      for (let atMs = hole.fromMs + MINUTE; atMs < hole.toMs - MINUTE; atMs += MINUTE) {
        const near = gaps.some((gap) => gap.fromMs <= atMs + MINUTE && gap.toMs >= atMs - MINUTE);
        expect({ atMs, near }).toEqual({ atMs, near: true });
      }
      for (const gap of gaps) expect(gap.fromMs).toBeLessThan(gap.toMs);
    }),
    { numRuns: 60 },
  );
});

test('holes lie between times farther apart than usual, and after the last', () => {
  const times = [0, 1, 2, 9, 10].map((minute) => minute * MINUTE);
  expect(holesBetween(times, MINUTE, 3 * MINUTE, 20 * MINUTE)).toEqual([minutes(3, 9), minutes(11, 20)]);
  expect(holesBetween(times, MINUTE, 3 * MINUTE, 12 * MINUTE)).toEqual([minutes(3, 9)]);
  expect(holesBetween([], MINUTE, 3 * MINUTE, 12 * MINUTE)).toEqual([]);
});
