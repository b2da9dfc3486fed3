import type { Settings } from '../config/schema.ts';
import type { Log } from '../ports/log.ts';

/** Sections that hold from the moment they are read again; all others from the next start. */
const RELOADABLE = ['keep', 'backup'] as const;

/** The settings that hold now. A part that asks `view` each time sees what was read again. */
export class LiveSettings {
  readonly #log: Log;
  #now: Settings;
  readonly view: Settings;

  constructor(settings: Settings, log: Log) {
    this.#now = settings;
    this.#log = log;
    const live = Object.fromEntries(RELOADABLE.map((name) => [name, { get: () => this.#now[name], enumerable: true }]));
    this.view = Object.defineProperties({ ...settings }, live);
  }

  /** Takes over what may change while the service runs, and tells what may not. `read` throws if a setting is wrong. */
  reload(read: () => Settings): void {
    let next: Settings;
    try {
      next = read();
    } catch (error) {
      const { message } = error as Error;
      for (const line of message.split('\n')) this.#log.error(`settings stay as they were: ${line}`);
      return;
    }
    const names = Object.keys(next) as (keyof Settings)[];
    const changed = names.filter((name) => JSON.stringify(next[name]) !== JSON.stringify(this.#now[name]));
    const isLive = (name: keyof Settings) => RELOADABLE.some((known) => known === name);
    const later = changed.filter((name) => !isLive(name));
    this.#now = { ...this.#now, keep: next.keep, backup: next.backup };
    const told = changed.filter(isLive);
    this.#log.info(
      told.length === 0 ? 'settings were read again' : `settings were read again: ${told.join(', ')} hold now`,
    );
    if (later.length > 0) this.#log.warn(`${later.join(', ')} changed too, and will hold from the next start`);
  }
}
