import { describe, expect, test } from 'vitest';
import { changeWords } from '../../src/app/plan-changes.ts';
import { cancelEntries, entriesOf } from '../../src/app/plan-entries.ts';
import type { FillPlan, PlanStep } from '../../src/contract/index.ts';
import { HOUR, iso, MINUTE, NOON } from '../support/builders.ts';

const step = (kind: string, atMs: number, what: string, changes: Partial<PlanStep> = {}): PlanStep => ({
  ...{ at: iso(atMs), earliest: iso(atMs), latest: iso(atMs), what, value: null, unit: null, why: 'So it is.' },
  ...{ kind, by: 'you', ...changes },
});

/** Only what the words and the calendar rest on. */
const aPlan = (steps: readonly PlanStep[], changes: Partial<FillPlan> = {}) =>
  ({
    ...{ kegId: 'one', at: iso(NOON), fillAt: iso(NOON + 48 * HOUR), possible: true, probability: 0.9 },
    ...{ reason: 'Likely: nine times in ten.', steps: [...steps], needs: { sessionMinutes: 60 } },
    ...changes,
  }) as FillPlan;

const say = (before: FillPlan, after: FillPlan) => changeWords(before, after, NOON, 'UTC');

describe('what is otherwise than planned', () => {
  const low = step('regulator', NOON + 20 * HOUR, 'Turn the regulator to 58 kPa');

  test('nothing, while the plan stays', () => {
    expect(say(aPlan([low]), aPlan([{ ...low, at: iso(NOON + 21 * HOUR) }]))).toEqual([]);
  });

  test('the hour can no longer be met, or can again', () => {
    const lost = aPlan([], { possible: false, probability: 0.2, reason: 'Too warm.' });
    expect(say(aPlan([]), lost)).toEqual(['The hour can no longer be met. Too warm.']);
    expect(say(lost, aPlan([]))).toEqual(['The hour can be met again. Likely: nine times in ten.']);
  });

  test('surer or less sure, by enough', () => {
    expect(say(aPlan([]), aPlan([], { probability: 0.7 }))[0]).toMatch(/^It has become less sure\./);
    expect(say(aPlan([], { probability: 0.6 }), aPlan([]))[0]).toMatch(/^It has become surer\./);
    expect(say(aPlan([]), aPlan([], { probability: 0.85 }))).toEqual([]);
  });

  test('another setting, a step that came up, a step that moved', () => {
    const other = step('regulator', NOON + 20 * HOUR, 'Turn the regulator to 50 kPa');
    expect(say(aPlan([low]), aPlan([other]))).toEqual(['New: turn the regulator to 50 kPa, Tue 08:00.']);
    const check = step('check-start', NOON + 5 * HOUR, 'Close the gas');
    expect(say(aPlan([]), aPlan([check]))).toEqual(['New: close the gas, 17:00.']);
    const later = { ...check, at: iso(NOON + 9 * HOUR) };
    expect(say(aPlan([check]), aPlan([later]))).toEqual(['Close the gas: 21:00 instead of 17:00.']);
    // One that was done is no reason to call the next one moved.
    const done = { ...check, at: iso(NOON - 20 * HOUR) };
    expect(say(aPlan([done]), aPlan([later]))).toEqual(['New: close the gas, 21:00.']);
    const own = step('cold', NOON + HOUR, 'The beer gets cold enough', { by: 'keg' });
    expect(say(aPlan([]), aPlan([own]))).toEqual([]);
  });
});

describe('entries of a calendar', () => {
  const named = { planId: 'p', name: 'Gate Post', timeZone: 'UTC', nowMs: NOON };
  const first = step('fridge', NOON, 'Set the fridge', { latest: iso(NOON + 6 * HOUR) });
  const fill = step('fill', NOON + 48 * HOUR, 'First bottle');
  const begun = entriesOf([], aPlan([first, fill, step('end', NOON + 49 * HOUR, 'Last')]), named);

  test('are what people do, with the range in the text', () => {
    expect(begun.map(({ uid, summary }) => [uid, summary])).toEqual([
      ['p.fridge@quietkeg', 'Set the fridge (Gate Post)'],
      ['p.fill@quietkeg', 'Fill bottles: Gate Post'],
    ]);
    expect(begun[0]?.text).toBe('So it is. Latest 18:00.');
    expect(begun[1]).toMatchObject({ sequence: 0, status: 'TENTATIVE', endMs: NOON + 49 * HOUR });
    const ranged = step('look', NOON + 5 * HOUR, 'Look', {
      earliest: iso(NOON + 4 * HOUR),
      latest: iso(NOON + 9 * HOUR),
    });
    expect(entriesOf([], aPlan([ranged]), named)[0]?.text).toBe('So it is. Between 16:00 and 21:00.');
  });

  test('stay while they tremble, and what is due stays where it was', () => {
    const again = { ...named, nowMs: NOON + HOUR };
    const later = aPlan([
      step('fridge', NOON + HOUR, 'Set the fridge'),
      { ...fill, at: iso(NOON + 48 * HOUR + 20 * MINUTE) },
    ]);
    expect(entriesOf(begun, later, again)).toEqual(begun);
  });

  test('are changed, cancelled and brought back under one uid', () => {
    const moved = entriesOf(begun, aPlan([{ ...fill, at: iso(NOON + 60 * HOUR) }]), named);
    expect(moved.map(({ sequence, status }) => [sequence, status])).toEqual([
      [0, 'TENTATIVE'],
      [1, 'TENTATIVE'],
    ]);
    const gone = entriesOf(moved, aPlan([]), { ...named, nowMs: NOON + HOUR });
    expect(gone[1]).toMatchObject({ sequence: 2, status: 'CANCELLED', changedMs: NOON + HOUR });
    expect(entriesOf(gone, aPlan([fill]), named)[1]).toMatchObject({ sequence: 3, status: 'TENTATIVE' });
    const all = cancelEntries(gone, NOON + 2 * HOUR);
    expect(all[1]).toEqual(gone[1]);
    // What is over is not cancelled after the fact.
    expect(all[0]).toEqual(begun[0]);
    expect(cancelEntries(begun, NOON)[0]).toMatchObject({ status: 'CANCELLED', sequence: 1 });
  });

  test('settings keep their uids when the first of them is done, and two of a kind have two', () => {
    const high = step('regulator', NOON, 'Turn it up', { value: 138 });
    const low = step('regulator', NOON + 9 * HOUR, 'Turn it down', { value: 58 });
    const look = [step('look', NOON, 'Look'), step('look', NOON + HOUR, 'Look again')];
    const uids = (steps: readonly PlanStep[]) => entriesOf([], aPlan(steps), named).map(({ uid }) => uid);
    expect(uids([high, low])).toEqual(['p.regulator-138@quietkeg', 'p.regulator-58@quietkeg']);
    expect(uids([low])).toEqual(['p.regulator-58@quietkeg']);
    expect(uids(look)).toEqual(['p.look@quietkeg', 'p.look.2@quietkeg']);
  });
});
