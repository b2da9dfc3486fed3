/** Plays the timelines of this folder; README.md says how they are written. */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { EventEntry, KegState } from '../../src/contract/index.ts';
import { iso, MINUTE, NOON, SECOND } from '../support/builders.ts';
import { World } from '../support/world.ts';
import { readSeries, type Scenario } from './timeline.ts';

const HERE = new URL('.', import.meta.url);

async function play(scenario: Scenario): Promise<void> {
  let world = await World.make();
  const told: string[] = [];
  if (scenario.filled !== false) world.fill();
  const series = Object.entries(scenario.series).map(([topic, text]) => [topic, readSeries(text)] as const);
  const lastMin = Math.max(...scenario.expect.map(({ atMin }) => atMin));
  for (let minute = 0; minute <= lastMin; minute += 1) {
    if (scenario.restarts?.includes(minute)) {
      told.push(...world.told());
      world = await world.restart();
    }
    for (const { atMin, ...body } of scenario.entries ?? []) {
      if (atMin !== minute) continue;
      const entry = EventEntry.parse({ at: iso(world.clock.nowMs()), ...body });
      expect(world.services.kegChanges.addEvent('one', entry)).toMatchObject({ ok: true });
    }
    if (minute % scenario.every === 0) {
      for (const [topic, values] of series) {
        const value = values[minute / scenario.every];
        if (value != null) await world.hear(`probes/${topic}`, value);
      }
    }
    // The last second of each minute is when we look.
    world.clock.advance(MINUTE - SECOND);
    world.services.monitor.tick();
    check(scenario, minute, world, [...told, ...world.told()]);
    world.clock.advance(SECOND);
  }
}

function check(scenario: Scenario, minute: number, world: World, alerts: readonly string[]): void {
  for (const wanted of scenario.expect.filter(({ atMin }) => atMin === minute)) {
    const where = `${scenario.name}, minute ${minute}`;
    if (wanted.alerts !== undefined) expect(alerts, where).toEqual(wanted.alerts);
    if (wanted.state === undefined && wanted.checks === undefined) continue;
    const state = KegState.parse(world.state());
    expect(state, where).toMatchObject(wanted.state ?? {});
    const checks = Object.fromEntries(state.verdict.checks.map((one) => [one.name, one.state]));
    expect(checks, where).toMatchObject(wanted.checks ?? {});
  }
}

for (const file of readdirSync(HERE).filter((name) => name.endsWith('.json'))) {
  describe(file, () => {
    const scenarios: Scenario[] = JSON.parse(readFileSync(new URL(file, HERE), 'utf8'));
    test.each(scenarios.map((scenario) => [scenario.name, scenario] as const))('%s', async (_name, scenario) => {
      await play(scenario);
    });
  });
}

test('series are written as their description says', () => {
  expect(readSeries('4 _ 5x2 _x2 12>2x3')).toEqual(['4', null, '5', '5', null, null, '12', '7', '2']);
  expect(NOON % MINUTE).toBe(0);
});
