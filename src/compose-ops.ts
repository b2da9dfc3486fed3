/** What keeps the service running for years: backups, and settings that are read again. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { NIGHTLY_PREFIX, NightlyFolder } from './adapters/archive/nightly-folder.ts';
import { thisMachine } from './adapters/machine/this-machine.ts';
import { layoutOf } from './adapters/sqlite/database-copy.ts';
import type { Decoded } from './app/decode.ts';
import { LIMITS } from './app/limits.ts';
import type { LiveProbes } from './app/live-probes.ts';
import { LiveSettings } from './app/live-settings.ts';
import { MachineWatch } from './app/machine-watch.ts';
import { NightlyBackup } from './app/nightly-backup.ts';
import type { Register } from './app/register.ts';
import { Retention, type RetentionOptions } from './app/retention.ts';
import { SecretBook, secretsInAddress } from './app/secret-book.ts';
import { SeriesLimit } from './app/series-limit.ts';
import type { Services } from './app/services.ts';
import { makeBackup } from './backup.ts';
import { brokerCredentials } from './compose-access.ts';
import type { Settings } from './config/schema.ts';
import { BACKUPS, CATALOGUE, makeFolder, READINGS } from './data-folder.ts';
import type { Clock } from './ports/clock.ts';
import type { Log } from './ports/log.ts';
import { StartError } from './start-error.ts';

/** This program as it was started: from its sources, or from what an installed package holds. */
const MAIN = fileURLToPath(new URL(import.meta.url.endsWith('.ts') ? './main.ts' : './main.js', import.meta.url));

export const backupFolder = ({ data, backup }: Settings): string => backup.folder ?? join(data, BACKUPS);

interface Updating {
  readonly settings: Settings;
  readonly version: string;
  readonly clock: Clock;
  readonly log: Log;
}

/** Makes a backup if this version will change the layout of what is kept. Throws `StartError` if a newer one wrote it. */
export async function backupBeforeUpdate({ settings, version, clock, log }: Updating): Promise<void> {
  const layouts = [CATALOGUE, READINGS].flatMap((name) => {
    const path = join(settings.data, name);
    const layout = existsSync(path) ? readableLayout(name, path) : null;
    return layout === null ? [] : [{ name, ...layout }];
  });
  for (const { name, made, known } of layouts) {
    if (made > known)
      throw new StartError(
        `${join(settings.data, name)} was written by a newer version (schema ${made}, this one knows ${known}); update the program, or restore a backup made before`,
      );
  }
  const isOld = layouts.some(({ made, known }) => made > 0 && made < known);
  if (!isOld || !settings.backup.beforeUpdate) return;
  log.info('what is kept was written by an older version: a backup is made before it is brought up to date');
  const target = backupFolder(settings);
  const wish = { data: settings.data, target, version, influx: settings.influx.url !== null };
  try {
    makeFolder(target);
    const { file } = await makeBackup({ ...wish, nowMs: clock.nowMs(), prefix: 'before-update' });
    log.info(`the backup before the update is ${file}`);
  } catch (error) {
    throw new StartError(
      `no backup can be made before the update: ${(error as Error).message}. To go on without one: --backup-before-update false`,
      { cause: error },
    );
  }
}

/** What is no database at all is told by whoever opens it. */
function readableLayout(name: string, path: string): ReturnType<typeof layoutOf> {
  try {
    return layoutOf(name, path);
  } catch {
    return null;
  }
}

interface Operating {
  readonly settings: Settings;
  readonly clock: Clock;
  readonly log: Log;
  readonly services: () => Services;
}

/** Backups each night, and what is left of the machine. */
export function operations(operating: Operating) {
  const { settings, clock } = operating;
  const nightly = nightlyBackup(operating);
  const watch = new MachineWatch({ clock, machine: thisMachine(settings.data), backup: nightly });
  const health = () => ({ ...operating.services().health(), ...watch.troubles() });
  return { nightly, health, machine: () => watch.report() };
}

/** Makes backups by a process of its own, as a person would with `quietkeg backup`. */
function nightlyBackup({ settings, clock, log, services }: Operating): NightlyBackup {
  const folder = () => backupFolder(settings);
  const { PATH, HOME } = process.env;
  const login = settings.influx.url === null ? {} : { QUIETKEG_INFLUX_URL: settings.influx.url };
  const backups = new NightlyFolder({
    folder,
    command: () => {
      makeFolder(folder());
      return [process.execPath, MAIN, 'backup', folder(), '--prefix', NIGHTLY_PREFIX];
    },
    environment: { PATH, HOME, QUIETKEG_DATA: settings.data, ...login },
    nowMs: () => clock.nowMs(),
  });
  return new NightlyBackup({
    clock,
    log,
    backups,
    keep: () => settings.backup.keep,
    timeZone: () => services().register.site().timeZone,
    clockTrusted: () => services().health().clock === null,
  });
}

/** Retires old readings, by what the settings say at the time. */
export function oldReadings(parts: Omit<RetentionOptions, 'rawDays'> & { readonly settings: Settings }): Retention {
  const { settings, ...others } = parts;
  return new Retention({
    ...others,
    get rawDays() {
      return settings.keep.rawDays;
    },
  });
}

/** Keeps the number of series within bounds. */
export function seriesLimit(register: Register, probes: LiveProbes): (decoded: Decoded) => Decoded {
  const limit = new SeriesLimit({
    most: LIMITS.series,
    heard: () => probes.all().map(({ probe }) => probe.probeId),
    isSetUp: (probeId) => register.probes().some((probe) => probe.probeId === probeId),
  });
  return (decoded) => limit.admit(decoded);
}

/** Takes the secrets of the settings out of what is logged; others join as they become known. */
export function secretBook(settings: Settings): SecretBook {
  const { mqtt, influx, heartbeat } = settings;
  const book = new SecretBook();
  const { password } = mqtt.url === null ? {} : brokerCredentials(settings);
  const ofSettings = [
    ...(password === undefined || password === '' ? [] : [password]),
    ...secretsInAddress(mqtt.url),
    ...secretsInAddress(influx.url),
    ...secretsInAddress(heartbeat.url, { pathIsSecret: true }),
  ];
  book.follow(() => ofSettings);
  return book;
}

export { LiveSettings };
