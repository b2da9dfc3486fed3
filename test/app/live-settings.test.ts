import { expect, test } from 'vitest';
import { LiveSettings } from '../../src/app/live-settings.ts';
import { loadSettings } from '../../src/config/load.ts';
import { keptLog } from '../support/kept-log.ts';

const settings = (environment: Record<string, string> = {}) =>
  loadSettings({ file: null, environment: { HOME: '/home/anna', ...environment }, flags: new Map(), demo: false });

test('what may change while the service runs holds at once, of the rest is told', () => {
  const { log, lines } = keptLog();
  const live = new LiveSettings(settings(), log);
  live.reload(() => settings({ QUIETKEG_KEEP_RAW_DAYS: '120', QUIETKEG_BACKUP_KEEP: '2', QUIETKEG_HTTP_PORT: '9000' }));
  expect(live.view).toMatchObject({ keep: { rawDays: 120 }, backup: { keep: 2 }, http: { port: 8420 } });
  expect(lines).toEqual([
    'info settings were read again: keep, backup hold now',
    'warn http changed too, and will hold from the next start',
  ]);
});

test('a mistake changes nothing, and each is told', () => {
  const { log, lines } = keptLog();
  const live = new LiveSettings(settings(), log);
  live.reload(() => settings({ QUIETKEG_KEEP_RAW_DAYS: '1', QUIETKEG_HTTP_PROT: '1' }));
  expect(live.view.keep.rawDays).toBe(90);
  expect(lines).toHaveLength(2);
  expect(lines.join()).toMatch(/stay as they were: QUIETKEG_HTTP_PROT is no setting.*QUIETKEG_KEEP_RAW_DAYS/s);
});
