import type { EstimatePoint } from '../../domain/estimate-point.ts';
import type { EstimateStore } from '../../ports/estimate-store.ts';
import { ESTIMATE_MEASUREMENT, InfluxConnection, influxDatabase } from './influx-connection.ts';
import { probeTag, timeMsOf } from './reading-points.ts';

/** Longest time for one request. */
const REQUEST_MS_MAX = 10_000;
const POINTS_PER_REQUEST = 5000;
const COLUMNS = 'volumes, low, high, equilibrium, leak';

/** Estimates in InfluxDB 1.x, measurement `estimate`, tag `batch`: beside the readings, for whoever draws from there. */
export class InfluxEstimateStore implements EstimateStore {
  readonly #url: URL;
  readonly #requestMsMax: number;
  #connection: InfluxConnection | null = null;

  /** @param options.url as that of the readings */
  constructor(options: { readonly url: string; readonly requestMsMax?: number }) {
    this.#url = new URL(options.url);
    this.#requestMsMax = options.requestMsMax ?? REQUEST_MS_MAX;
  }

  async open(): Promise<void> {
    if (this.#connection !== null) return;
    const connection = new InfluxConnection(this.#url, influxDatabase(this.#url), this.#requestMsMax);
    try {
      await connection.createDatabase();
    } catch (error) {
      connection.close();
      throw error;
    }
    this.#connection = connection;
  }

  async save(points: readonly (EstimatePoint & { readonly batchId: string })[]): Promise<void> {
    await this.open();
    for (let from = 0; from < points.length; from += POINTS_PER_REQUEST) {
      await this.#opened().write(
        points.slice(from, from + POINTS_PER_REQUEST).map((point) => ({
          measurement: ESTIMATE_MEASUREMENT,
          tags: { batch: probeTag(point.batchId) },
          fields: {
            volumes: point.volumes,
            low: point.low,
            high: point.high,
            ...(point.equilibriumVolumes === null ? {} : { equilibrium: point.equilibriumVolumes }),
            leak: point.leak,
          },
          timestamp: String(BigInt(point.atMs) * 1_000_000n),
        })),
      );
    }
  }

  async range(batchId: string, fromMs: number, toMs: number): Promise<EstimatePoint[]> {
    await this.open();
    if (!(fromMs < toMs)) return [];
    const [series = []] = await this.#opened().query(
      `SELECT ${COLUMNS} FROM ${ESTIMATE_MEASUREMENT} WHERE batch = $batch AND time >= $from AND time < $to`,
      { batch: probeTag(batchId), from: new Date(fromMs).toISOString(), to: new Date(toMs).toISOString() },
    );
    return series.flatMap(({ values }) =>
      values.map(([time, volumes, low, high, equilibrium, leak]) => ({
        atMs: timeMsOf(time),
        volumes: Number(volumes),
        low: Number(low),
        high: Number(high),
        equilibriumVolumes: equilibrium === null ? null : Number(equilibrium),
        leak: leak === 'likely' || leak === 'suspected' ? leak : ('none' as const),
      })),
    );
  }

  async close(): Promise<void> {
    this.#connection?.close();
    this.#connection = null;
  }

  #opened(): InfluxConnection {
    if (this.#connection === null) throw new Error(`The estimate store ${this.#url.origin} is not open.`);
    return this.#connection;
  }
}
