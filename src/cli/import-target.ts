/** Where an import goes: into the data folder itself, or through the service that runs on it. */

import type { Settings } from '../config/schema.ts';
import { ImportOutcome, type ImportPortion, Problem } from '../contract/index.ts';
import { openForImport } from '../offline.ts';
import { FolderError } from './replay-folder.ts';

export interface ImportTarget {
  /** For people: where it goes. */
  readonly name: string;
  /** Throws `FolderError` if the portion as a whole is refused, or cannot be handed over. */
  take(portion: ImportPortion): Promise<ImportOutcome>;
  close(): Promise<void>;
}

/** Longest time for one portion (ms). */
const PORTION_MS_MAX = 60_000;

/** Throws `StartError` or `ConfigError`. */
export async function openTarget(settings: Settings): Promise<ImportTarget> {
  const opened = await openForImport(settings);
  if ('runningAt' in opened) return runningService(opened.runningAt);
  const { kegImport, close } = opened;
  return {
    name: settings.data,
    close,
    take: async (portion) => {
      const outcome = await kegImport.take(portion).catch((error: Error) => {
        throw new FolderError(`the reading store does not take readings: ${error.message}`);
      });
      if (!outcome.ok) throw new FolderError(outcome.detail);
      return outcome.value;
    },
  };
}

function runningService({ address, key }: { readonly address: string; readonly key: string }): ImportTarget {
  return {
    name: `the service at ${address}`,
    close: async () => undefined,
    take: async (portion) => {
      const answer = await fetch(new URL('/api/v1/import', address), {
        method: 'POST',
        headers: { 'content-type': 'application/json', authorization: `Bearer ${key}` },
        body: JSON.stringify(portion),
        signal: AbortSignal.timeout(PORTION_MS_MAX),
      }).catch((error: Error) => {
        throw new FolderError(`the service at ${address} does not answer: ${error.message}`);
      });
      const body: unknown = await answer.json().catch(() => null);
      const outcome = ImportOutcome.safeParse(body);
      if (answer.ok && outcome.success) return outcome.data;
      const problem = Problem.safeParse(body);
      throw new FolderError(
        problem.success
          ? problem.data.detail
          : `the service at ${address} answered ${answer.status}; is it of this version?`,
      );
    },
  };
}
