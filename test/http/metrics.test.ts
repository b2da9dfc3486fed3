import { describe, expect, test } from 'vitest';
import { thisMachine } from '../../src/adapters/machine/this-machine.ts';
import { METRICS_TYPE, metricsText } from '../../src/http/metrics.ts';
import { NOON } from '../support/builders.ts';
import { anHttpWorld } from '../support/http-world.ts';
import { readOpenMetrics } from '../support/open-metrics.ts';
import { World } from '../support/world.ts';

const machine = () => ({
  residentBytes: 120_000_000,
  availableBytes: 2_000_000_000,
  freeDiskBytes: 5e9,
  openFiles: 31,
  newestBackupMs: NOON,
});

describe('what /metrics tells', () => {
  test('is read by the standard’s rules, each family with type, help and its unit in its name', async () => {
    const world = await World.make();
    world.fill();
    await world.beer(4);
    const services = { ...world.services, machine, gapCounts: () => new Map([['a "cause"\n\\ of its own', 2]]) };
    const families = readOpenMetrics(metricsText(services));
    expect(families.map(({ name }) => name)).toEqual(expect.arrayContaining(['quietkeg_values', 'quietkeg_kegs']));
    for (const { name, type, help, samples } of families) {
      expect(['counter', 'gauge']).toContain(type);
      expect(help, name).toMatch(/^[A-Z0-9].*\.$/);
      expect(samples.length, name).toBeGreaterThan(0);
    }
    const of = (name: string) => families.find((family) => family.name === name);
    expect(of('process_resident_memory_bytes')).toMatchObject({ unit: 'bytes', samples: [{ value: 120_000_000 }] });
    expect(of('quietkeg_newest_backup_seconds')).toMatchObject({ unit: 'seconds', samples: [{ value: NOON / 1000 }] });
    expect(of('quietkeg_probes_heard')?.samples).toMatchObject([{ value: 1 }]);
    expect(of('quietkeg_gaps')?.samples[0]?.labels).toEqual({ cause: 'a \\"cause\\"\\n\\\\ of its own' });
  });

  test('comes with the standard’s content type', async () => {
    const { ask, server } = await anHttpWorld();
    const { headers, body } = await ask('GET', '/metrics');
    expect(headers['content-type']).toBe(METRICS_TYPE);
    expect(METRICS_TYPE).toBe('application/openmetrics-text; version=1.0.0; charset=utf-8');
    expect(readOpenMetrics(body).length).toBeGreaterThan(6);
    await server.close();
  });

  test('leaves out what the system does not say', async () => {
    const world = await World.make();
    const silent = { ...machine(), availableBytes: null, freeDiskBytes: null, openFiles: null, newestBackupMs: null };
    const names = readOpenMetrics(metricsText({ ...world.services, machine: () => silent })).map(({ name }) => name);
    expect(names).toContain('process_resident_memory_bytes');
    expect(names.some((name) => /disk|available|fds|backup/.test(name))).toBe(false);
  });
});

test('the reader is strict', () => {
  const good = '# TYPE a counter\n# HELP a Help.\na_total{b="c"} 1\n# EOF\n';
  expect(readOpenMetrics(good)).toHaveLength(1);
  for (const bad of [
    good.replace('# EOF\n', ''),
    good.replace('a_total', 'a'),
    good.replace(' 1', ' one'),
    good.replace('"c"', '"c'),
    good.replace('# HELP a', '# UNIT a bytes\n# HELP a'),
    good.replace('# EOF', '# TYPE b gauge\nb 1\n# HELP a Again.\n# EOF'),
    good.replace('# EOF', 'a_total{b="c"} 2\n# EOF'),
  ])
    expect(() => readOpenMetrics(bad), bad).toThrow();
});

test('this machine tells of itself', () => {
  const { freeDiskBytes, availableBytes, residentBytes, openFiles } = thisMachine('/');
  expect(freeDiskBytes()).toBeGreaterThan(0);
  expect(availableBytes()).toBeGreaterThan(0);
  expect(residentBytes()).toBeGreaterThan(10_000_000);
  expect(openFiles()).toBeGreaterThan(2);
  expect(thisMachine('/nowhere').freeDiskBytes()).toBeNull();
});
