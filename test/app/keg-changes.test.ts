import { describe, expect, test } from 'vitest';
import type { Outcome } from '../../src/app/outcome.ts';
import { type BatchStart, EventEntry } from '../../src/contract/index.ts';
import { aFilling, HOUR, iso, MINUTE, NOON } from '../support/builders.ts';
import { World } from '../support/world.ts';

function refusal(outcome: Outcome<unknown>): string {
  return outcome.ok ? `granted: ${JSON.stringify(outcome.value)}` : `${outcome.code}: ${outcome.detail}`;
}
function granted<T>(outcome: Outcome<T>): T {
  if (outcome.ok) return outcome.value;
  throw new Error(refusal(outcome));
}
const start = (change: Partial<BatchStart> = {}): BatchStart => {
  return { name: 'Harvest Amber', beerState: 'flat', probe: 'thermowell', ...change };
};
const entry = (body: object, atMs = NOON): EventEntry => EventEntry.parse({ at: iso(atMs), ...body });

async function changes() {
  const world = await World.make();
  const { kegChanges, register } = world.services;
  granted(kegChanges.putKeg('one', { name: 'Left keg', capacityL: 20 }));
  return { world, kegChanges, register, batches: () => register.batches().map(({ name }) => name) };
}

describe('putting a keg', () => {
  test('makes one with what is usual for what is left out', async () => {
    const { kegChanges } = await changes();
    expect(granted(kegChanges.putKeg('two', {}))).toEqual({
      kegId: 'two',
      name: 'two',
      capacityL: 19,
      diameterMetres: null,
      workingKpaGaugeMax: null,
      placeId: 'fridge',
      supplyId: 'gas',
      batchId: null,
    });
  });

  test('changes only what is told; null takes a value back', async () => {
    const { kegChanges } = await changes();
    granted(kegChanges.putKeg('one', { diameterMetres: 0.22, workingKpaGaugeMax: 900 }));
    expect(granted(kegChanges.putKeg('one', { diameterMetres: null }))).toMatchObject({
      name: 'Left keg',
      capacityL: 20,
      diameterMetres: null,
      workingKpaGaugeMax: 900,
    });
  });

  test.each(['place', 'gas', 'site', 'One', 'a.b'])('%s can be no keg', async (kegId) => {
    const { kegChanges } = await changes();
    expect(refusal(kegChanges.putKeg(kegId, {}))).toMatch(/^body-invalid: .* can be no keg id/);
  });

  test('must name a place and a gas supply that exist', async () => {
    const { kegChanges, register } = await changes();
    expect(refusal(kegChanges.putKeg('one', { placeId: 'attic' }))).toMatch(/^place-unknown: There is no place attic/);
    expect(refusal(kegChanges.putKeg('one', { supplyId: 'argon' }))).toMatch(/^supply-unknown: .*argon/);
    expect(register.keg('one')?.placeId).toBe('fridge');
  });

  test('tells the batch it holds', async () => {
    const { kegChanges } = await changes();
    const { batchId } = granted(kegChanges.startBatch('one', start()));
    expect(granted(kegChanges.putKeg('one', {})).batchId).toBe(batchId);
  });
});

describe('taking a keg out', () => {
  test('is refused for one that nobody heard of', async () => {
    const { kegChanges } = await changes();
    expect(refusal(kegChanges.deleteKeg('two', false))).toBe('keg-unknown: There is no keg two.');
    expect(granted(kegChanges.deleteKeg('two', true))).toBeNull();
  });

  test('keeps its batches and entries for when it comes back', async () => {
    const { kegChanges, register } = await changes();
    const { batchId } = granted(kegChanges.startBatch('one', start()));
    granted(kegChanges.deleteKeg('one', true));
    expect(register.keg('one')).toBeNull();
    expect(granted(kegChanges.putKeg('one', {})).batchId).toBe(batchId);
  });
});

describe('starting a batch', () => {
  test('enters a filling, with what is usual for what is left out', async () => {
    const { kegChanges, register } = await changes();
    const batch = granted(kegChanges.startBatch('one', start({ abvPercent: 5, style: 'Amber' })));
    expect(batch).toMatchObject({ kegId: 'one', name: 'Harvest Amber', style: 'Amber', abvPercent: 5, endedAt: null });
    expect(batch.beganAt).toBe(iso(NOON));
    expect(register.event(batch.batchId)).toMatchObject({
      subject: { kind: 'keg', id: 'one' },
      body: { kind: 'keg-filled', totalLitres: 20, beerLitres: 19.4, beerState: 'flat', probe: 'thermowell' },
    });
  });

  test('is refused while another is open', async () => {
    const { kegChanges } = await changes();
    granted(kegChanges.startBatch('one', start({ at: iso(NOON - HOUR) })));
    expect(refusal(kegChanges.startBatch('one', start({ name: 'Pale' })))).toBe(
      'batch-open: Left keg holds Harvest Amber at that time. Enter that it was emptied, then start the next.',
    );
  });

  test('is refused for more beer than goes into the keg, in the future, and without a keg', async () => {
    const { kegChanges, register } = await changes();
    expect(refusal(kegChanges.startBatch('one', start({ beerLitres: 21 })))).toMatch(
      /^body-invalid: 21 L of beer do not go/,
    );
    const ahead = iso(NOON + 6 * MINUTE);
    expect(refusal(kegChanges.startBatch('one', start({ at: ahead })))).toMatch(
      /^body-invalid: The time .* lies in the future/,
    );
    expect(refusal(kegChanges.startBatch('two', start()))).toMatch(/^keg-unknown: /);
    expect(register.batches()).toEqual([]);
  });

  test('a phone’s clock may run a little fast', async () => {
    const { kegChanges } = await changes();
    expect(kegChanges.startBatch('one', start({ at: iso(NOON + 5 * MINUTE) })).ok).toBe(true);
  });
});

describe('entries', () => {
  test('are kept with when they happened and when they were entered', async () => {
    const { kegChanges } = await changes();
    const kept = granted(kegChanges.addEvent('one', entry({ kind: 'regulator-set', kpaGauge: 70 }, NOON - HOUR)));
    expect(kept).toEqual({
      eventId: expect.any(String),
      kind: 'regulator-set',
      kpaGauge: 70,
      at: iso(NOON - HOUR),
      enteredAt: iso(NOON),
      kegId: 'one',
    });
  });

  test('of a place or a gas supply hold for all its kegs', async () => {
    const { world, kegChanges } = await changes();
    granted(kegChanges.putKeg('two', {}));
    granted(kegChanges.addEvent('one', entry({ kind: 'fridge-set', celsius: 1, place: 'fridge' })));
    const kept = granted(kegChanges.addEvent('one', entry({ kind: 'regulator-set', kpaGauge: 81, supply: 'gas' })));
    expect(kept).toMatchObject({ kegId: null, supply: 'gas' });
    expect(world.state('two').regulatorKpaGauge).toBe(81);
    expect(granted(kegChanges.withdrawEvent('two', kept.eventId))).toBeNull();
    expect(world.state('one').regulatorKpaGauge).toBeNull();
  });

  test('are refused where they do not fit', async () => {
    const { kegChanges } = await changes();
    const refused = (body: object, atMs = NOON) => refusal(kegChanges.addEvent('one', entry(body, atMs)));
    expect(refused({ kind: 'note', text: 'x' }, NOON + 6 * MINUTE)).toMatch(
      /^body-invalid: The time .* lies in the future/,
    );
    expect(refused({ kind: 'fridge-set', celsius: 1, place: 'attic' })).toMatch(/^place-unknown/);
    expect(refused({ kind: 'regulator-set', kpaGauge: 1, supply: 'argon' })).toMatch(/^supply-unknown/);
    expect(refused(aFilling({ beerLitres: 30 }))).toMatch(/^body-invalid: 30 L of beer do not go/);
    expect(refused({ kind: 'keg-emptied' })).toBe('event-misplaced: Left keg was empty at that time already.');
    expect(refusal(kegChanges.addEvent('two', entry({ kind: 'note', text: 'x' })))).toMatch(/^keg-unknown: .*PUT/);
  });

  test('a wish for beer so cold that it freezes is refused, by the alcohol of the batch', async () => {
    const { kegChanges } = await changes();
    const wish = (celsius: number) =>
      refusal(kegChanges.addEvent('one', entry({ kind: 'target-set', volumes: 2.4, tolerance: 0.2, celsius })));
    expect(wish(-1)).toMatch(/^event-misplaced: The fill temperature must be at least -0\.\d °C/);
    expect(wish(0)).toMatch(/^granted/);
    granted(kegChanges.startBatch('one', start({ abvPercent: 9 })));
    expect(wish(-1)).toMatch(/^granted/);
  });

  test('an emptying fits only where the keg was full', async () => {
    const { kegChanges } = await changes();
    granted(kegChanges.startBatch('one', start({ at: iso(NOON - 5 * HOUR) })));
    const empty = (hours: number) => kegChanges.addEvent('one', entry({ kind: 'keg-emptied' }, NOON + hours * HOUR));
    expect(refusal(empty(-6))).toMatch(/^event-misplaced/);
    const kept = granted(empty(-2));
    expect(refusal(empty(-1))).toMatch(/^event-misplaced/);
    const moved = kegChanges.correctEvent('one', kept.eventId, entry({ kind: 'keg-emptied' }, NOON - HOUR));
    expect(granted(moved).at).toBe(iso(NOON - HOUR));
  });

  test('are corrected and withdrawn, and the batches follow', async () => {
    const { kegChanges, register, batches } = await changes();
    const { batchId } = granted(kegChanges.startBatch('one', start({ at: iso(NOON - 5 * HOUR) })));
    granted(kegChanges.correctEvent('one', batchId, entry(aFilling(), NOON - 7 * HOUR)));
    expect(register.batch(batchId)).toMatchObject({ name: 'Harvest Amber', beganAtMs: NOON - 7 * HOUR });
    const emptied = granted(kegChanges.addEvent('one', entry({ kind: 'keg-emptied' }, NOON - HOUR)));
    expect(register.batch(batchId)?.endedAtMs).toBe(NOON - HOUR);
    granted(kegChanges.withdrawEvent('one', emptied.eventId));
    expect(register.batch(batchId)?.endedAtMs).toBeNull();
    granted(kegChanges.withdrawEvent('one', batchId));
    expect(batches()).toEqual([]);
  });

  test('that do not exist cannot be corrected or withdrawn', async () => {
    const { kegChanges } = await changes();
    const note = entry({ kind: 'note', text: 'x' });
    expect(refusal(kegChanges.correctEvent('one', 'nothing', note))).toBe(
      'event-unknown: The keg one has no event nothing.',
    );
    expect(refusal(kegChanges.withdrawEvent('one', 'nothing'))).toMatch(/^event-unknown/);
    expect(refusal(kegChanges.withdrawEvent('two', 'nothing'))).toMatch(/^keg-unknown/);
    granted(kegChanges.putKeg('two', {}));
    const { eventId } = granted(kegChanges.addEvent('one', note));
    expect(refusal(kegChanges.withdrawEvent('two', eventId))).toMatch(/^event-unknown/);
  });
});

describe('describing a batch', () => {
  test('changes only what is told; null takes a value back', async () => {
    const { kegChanges } = await changes();
    const { batchId } = granted(
      kegChanges.startBatch('one', start({ style: 'Amber', abvPercent: 5, originalExtractPlato: 12, brewId: 'b-7' })),
    );
    const changed = kegChanges.describeBatch(batchId, { name: 'Autumn Amber', abvPercent: null });
    expect(granted(changed)).toMatchObject({
      name: 'Autumn Amber',
      style: 'Amber',
      abvPercent: null,
      originalExtractPlato: 12,
      brewId: 'b-7',
    });
    const cleared = kegChanges.describeBatch(batchId, { style: null, originalExtractPlato: null, brewId: null });
    expect(granted(cleared)).toMatchObject({ style: null, originalExtractPlato: null, brewId: null });
  });

  test('is refused for one that is unknown', async () => {
    const { kegChanges } = await changes();
    expect(refusal(kegChanges.describeBatch('nothing', {}))).toBe('batch-unknown: There is no batch nothing.');
  });
});

describe('a batch entered late', () => {
  test('between others leaves what was said of them alone', async () => {
    const { kegChanges, register, batches } = await changes();
    const now = granted(kegChanges.startBatch('one', start({ at: iso(NOON - HOUR), style: 'Amber', abvPercent: 5 })));
    const past = granted(kegChanges.startBatch('one', start({ at: iso(NOON - 9 * HOUR), name: 'Old Pale' })));
    // Until its emptying is entered, the later filling only tops it up.
    expect(batches()).toEqual(['Old Pale']);
    granted(kegChanges.addEvent('one', entry({ kind: 'keg-emptied' }, NOON - 3 * HOUR)));
    expect(register.batch(past.batchId)).toMatchObject({ name: 'Old Pale', endedAtMs: NOON - 3 * HOUR });
    expect(register.batch(now.batchId)).toMatchObject({ name: 'Harvest Amber', style: 'Amber', abvPercent: 5 });
    expect(register.batch(now.batchId)?.endedAtMs).toBeNull();
    expect(batches()).toEqual(['Old Pale', 'Harvest Amber']);
  });

  test('and taken back leaves nothing', async () => {
    const { kegChanges, register, batches } = await changes();
    const now = granted(kegChanges.startBatch('one', start({ at: iso(NOON - HOUR) })));
    const past = granted(kegChanges.startBatch('one', start({ at: iso(NOON - 9 * HOUR), name: 'Old Pale' })));
    granted(kegChanges.withdrawEvent('one', past.batchId));
    expect(batches()).toEqual(['Harvest Amber']);
    granted(kegChanges.withdrawEvent('one', now.batchId));
    expect(register.batches()).toEqual([]);
  });
});
