import { z } from 'zod';
import { eventLine, READING_COLUMNS, readingLine, readingRow } from '../../app/export-lines.ts';
import type { KegPast } from '../../app/keg-export.ts';
import type { PastReading } from '../../app/past-readings.ts';
import { ExportQuery, ImportOutcome, ImportPortion } from '../../contract/index.ts';
import { granted, HttpProblem } from '../problems.ts';
import { PROBLEM_ANSWERS, type Routes } from './route.ts';

const BatchParams = z.object({ batchId: z.string().min(1).max(80) });
const AHEAD_MS = 10 * 60_000;
const IMPORT_BYTES_MAX = 2 * 1024 * 1024;
const MEDIA_TYPES = { csv: 'text/csv; charset=utf-8; header=present', ndjson: 'application/x-ndjson' } as const;

/** The past, out and in. */
export const transferRoutes: Routes = (api, services) => {
  const { register, kegExport, kegImport } = services;

  api.get(
    '/batches/:batchId/export',
    {
      schema: {
        description:
          'Raw readings of a batch in order of time: JSON lines, its entries first; or rows of readings alone.',
        params: BatchParams,
        querystring: ExportQuery,
        response: { 200: z.unknown().describe('The file'), ...PROBLEM_ANSWERS },
      },
    },
    async (request, reply) => {
      const { batchId } = request.params;
      const { format } = request.query;
      const batch = register.batch(batchId);
      if (batch === null) throw new HttpProblem('batch-unknown', `There is no batch ${batchId}.`);
      const { kegId, beganAtMs: fromMs } = batch;
      // What ended it belongs to it. A probe's clock may run ahead of ours by a little.
      const toMs = batch.endedAtMs === null ? services.nowMs() + AHEAD_MS : batch.endedAtMs + 1;
      const past = await answered(() => kegExport.past(kegId, { fromMs, toMs }));
      if (past === null) throw new HttpProblem('keg-unknown', `Nothing is known of the keg ${kegId}.`);
      const readings = past.readings();
      // A store that is away is told before the answer begins; after that only a cut connection can tell.
      const first = await answered(() => readings.next());
      const text = format === 'csv' ? rowsOf(past, first, readings) : linesOf(past, fromMs, first, readings);
      void reply
        .type(MEDIA_TYPES[format])
        .header('content-disposition', `attachment; filename="${kegId}-${batchId}.${format}"`);
      return reply.send(streamOf(text));
    },
  );
  api.post(
    '/import',
    {
      bodyLimit: IMPORT_BYTES_MAX,
      schema: {
        description: 'A part of the past. What is here already stays; the same part again changes nothing.',
        body: ImportPortion,
        response: { 200: ImportOutcome, ...PROBLEM_ANSWERS },
      },
    },
    async (request) => granted(await answered(() => kegImport.take(request.body))),
  );
};

async function answered<T>(ask: () => Promise<T>): Promise<T> {
  try {
    return await ask();
  } catch (error) {
    throw new HttpProblem('store-unavailable', `The reading store does not answer: ${(error as Error).message}`);
  }
}

type Portions = AsyncGenerator<readonly PastReading[]>;
type Portion = IteratorResult<readonly PastReading[]>;

async function* linesOf({ keg, events }: KegPast, fromMs: number, first: Portion, rest: Portions) {
  // What was set of the fridge or the gas before the filling still held; what was done to other beer in the keg did not.
  const own = events.filter(({ atMs, subject }) => atMs >= fromMs || subject.kind !== 'keg');
  yield encoded(own.map((event) => `${eventLine(keg.kegId, event)}\n`));
  for await (const portion of again(first, rest)) {
    yield encoded(portion.map((one) => `${readingLine(keg.kegId, one, false)}\n`));
  }
}

async function* rowsOf({ keg }: KegPast, first: Portion, rest: Portions) {
  yield encoded([`${READING_COLUMNS.join(',')}\r\n`]);
  for await (const portion of again(first, rest)) {
    yield encoded(portion.map((one) => readingRow(keg.kegId, one, false)));
  }
}

async function* again(first: Portion, rest: Portions) {
  if (first.done !== true) yield first.value;
  yield* rest;
}

/** Chunks are made only when they are wanted, and no more once nobody listens. */
function streamOf(chunks: AsyncGenerator<Uint8Array, void>): ReadableStream<Uint8Array> {
  return new ReadableStream({
    async pull(controller) {
      const { value, done } = await chunks.next();
      if (done === true) controller.close();
      else controller.enqueue(value);
    },
    async cancel() {
      await chunks.return();
    },
  });
}

function encoded(lines: readonly string[]): Uint8Array {
  return Buffer.from(lines.join(''));
}
