import { Agent as HttpAgent } from 'node:http';
import { Agent as HttpsAgent } from 'node:https';
import { FieldType, InfluxDB, type IPoint } from 'influx';
import { type InfluxTrouble, influxTrouble } from './influx-trouble.ts';

export const MEASUREMENT = 'reading';
export const ESTIMATE_MEASUREMENT = 'estimate';
/** What quarters of an hour say of readings, and what minutes say of those that were retired. */
export const QUARTER_MEASUREMENT = 'reading_quarter';
export const MINUTE_MEASUREMENT = 'reading_minute';
/** Quarters that a late reading has made wrong. */
export const DIRTY_MEASUREMENT = 'reading_quarter_dirty';

const SUMS = {
  low: FieldType.FLOAT,
  high: FieldType.FLOAT,
  total: FieldType.FLOAT,
  number: FieldType.FLOAT,
};

/** The database that an address names; `quietkeg` if it names none. */
export function influxDatabase(url: URL): string {
  const inPath = decodeURIComponent(url.pathname.replace(/^\/|\/$/g, ''));
  return inPath === '' ? 'quietkeg' : inPath;
}

/** One series of an answer to a query. */
export interface InfluxSeries {
  readonly tags?: Readonly<Record<string, string>>;
  readonly columns: readonly string[];
  readonly values: readonly (readonly unknown[])[];
}

interface InfluxAnswer {
  readonly results: readonly {
    /** A series without rows has no `values`: a new server's list of databases, for one. */
    readonly series?: readonly (Omit<InfluxSeries, 'values'> & Partial<InfluxSeries>)[];
    readonly error?: string;
  }[];
}

/** A request that did not succeed, with what InfluxDB said. Its message never shows the password. */
export class InfluxError extends Error {
  readonly trouble: InfluxTrouble;

  constructor(where: string, trouble: InfluxTrouble, cause: unknown) {
    const reason = 'reason' in trouble ? trouble.reason : trouble.kind;
    const advice =
      trouble.kind === 'passing' ? 'Check that it runs and can be reached; readings wait until it answers.' : '';
    super(`InfluxDB at ${where}: ${reason}. ${advice}`.trim(), { cause });
    this.trouble = trouble;
  }
}

/** Nothing is kept back after a failure: when to try again is the caller's business. */
const NO_BACKOFF = { getDelay: () => 0, next: () => NO_BACKOFF, reset: () => NO_BACKOFF };

/** Requests to one database on one InfluxDB 1.x server. Never retries. */
export class InfluxConnection {
  readonly database: string;
  /** Scheme, host and port, without user and password. */
  readonly #where: string;
  readonly #requestMsMax: number;
  readonly #agent: HttpAgent;
  readonly #client: InfluxDB;

  constructor(url: URL, database: string, requestMsMax: number) {
    const isHttps = url.protocol === 'https:';
    this.database = database;
    this.#where = url.origin;
    this.#requestMsMax = requestMsMax;
    this.#agent = isHttps ? new HttpsAgent({ keepAlive: true }) : new HttpAgent({ keepAlive: true });
    this.#client = new InfluxDB({
      host: url.hostname.replace(/^\[(.*)\]$/, '$1'),
      port: Number(url.port || (isHttps ? 443 : 80)),
      protocol: isHttps ? 'https' : 'http',
      ...(url.username === ''
        ? {}
        : { username: decodeURIComponent(url.username), password: decodeURIComponent(url.password) }),
      database,
      options: { agent: this.#agent },
      pool: { maxRetries: 0, requestTimeout: requestMsMax, backoff: NO_BACKOFF },
      // Declared types keep 12 and 12.5 both floats; a mix would lose points to a type conflict.
      schema: [
        {
          measurement: MEASUREMENT,
          tags: ['probe'],
          fields: { value: FieldType.FLOAT, receivedAtMs: FieldType.INTEGER, timeFrom: FieldType.STRING },
        },
        { measurement: QUARTER_MEASUREMENT, tags: ['probe'], fields: SUMS },
        { measurement: MINUTE_MEASUREMENT, tags: ['probe'], fields: SUMS },
        { measurement: DIRTY_MEASUREMENT, tags: ['probe'], fields: { late: FieldType.FLOAT } },
        {
          measurement: ESTIMATE_MEASUREMENT,
          tags: ['batch'],
          fields: {
            volumes: FieldType.FLOAT,
            low: FieldType.FLOAT,
            high: FieldType.FLOAT,
            equilibrium: FieldType.FLOAT,
            leak: FieldType.STRING,
          },
        },
      ],
    });
  }

  /** Makes the database unless it is there: keeping for ever, in shards of a year, which suits years of slow readings. */
  async createDatabase(): Promise<void> {
    const [found] = await this.#ask('SHOW DATABASES', {});
    if (found?.some((series) => series.values.some(([name]) => name === this.database))) return;
    const quoted = `"${this.database.replaceAll('\\', '\\\\').replaceAll('"', '\\"')}"`;
    await this.#ask(`CREATE DATABASE ${quoted} WITH DURATION INF REPLICATION 1 SHARD DURATION 52w`, {});
  }

  /**
   * The series of each statement's answer; a missing database is made and asked again.
   * Whatever comes from outside goes into `parameters`, never into the text of a statement.
   */
  async query(statements: string, parameters: Record<string, string | number>): Promise<(readonly InfluxSeries[])[]> {
    try {
      return await this.#ask(statements, parameters);
    } catch (error) {
      if (!(error instanceof InfluxError) || error.trouble.kind !== 'no-database') throw error;
      await this.createDatabase();
      return this.#ask(statements, parameters);
    }
  }

  /** @throws InfluxError whatever else than "all stored" comes back. */
  async write(points: readonly IPoint[]): Promise<void> {
    await this.#bounded(() => this.#client.writePoints([...points], { precision: 'n' }));
  }

  close(): void {
    this.#agent.destroy();
  }

  async #ask(statements: string, placeholders: Record<string, string | number>): Promise<(readonly InfluxSeries[])[]> {
    return this.#bounded(async (signal) => {
      // POST, because a look-up of a large batch is longer than an address may be. Without a precision times come as
      // text, in nanoseconds; as numbers they would lose their last digits.
      const answer: InfluxAnswer = await this.#client.queryRaw(statements, { placeholders, method: 'POST', signal });
      for (const { error } of answer.results) if (error !== undefined) throw new Error(error);
      return answer.results.map(({ series = [] }) => series.map((one) => ({ ...one, values: one.values ?? [] })));
    });
  }

  /** The client's own limit is on silence only; an answer that stops half-way would leave it waiting for ever. */
  async #bounded<T>(request: (signal: AbortSignal) => Promise<T>): Promise<T> {
    const signal = AbortSignal.timeout(this.#requestMsMax + 500);
    const tooLong = new Promise<never>((_, reject) => {
      signal.addEventListener('abort', () => reject(new Error('it gave no complete answer in time')), { once: true });
    });
    try {
      return await Promise.race([request(signal), tooLong]);
    } catch (error) {
      throw new InfluxError(this.#where, influxTrouble(error), error);
    }
  }
}
