/** An import in two goes: look through everything, then bring in what is good. */
import { ImportCheck } from '../app/import-check.ts';
import type { ImportEvent, ImportReading, TransferFillLine } from '../contract/index.ts';
import { PORTION_BOTTLES_MAX, PORTION_PLANS_MAX, PORTION_READINGS_MAX } from '../contract/index.ts';
import { nowMs } from '../offline.ts';
import { type ImportSource, type SourceItem, type SourceWishes, sourceItems } from './import-source.ts';
import type { ImportTally, Wheres } from './import-tally.ts';
import type { ImportTarget } from './import-target.ts';
import type { Progress } from './progress.ts';
import { FolderError } from './replay-folder.ts';

/** Reads everything once, to find what is wrong before anything is changed. */
export async function lookThrough(
  source: ImportSource,
  wishes: SourceWishes,
  tally: ImportTally,
  progress: Progress,
  isStopped: () => boolean,
) {
  const check = new ImportCheck(source.about, nowMs());
  for await (const items of sourceItems(source, wishes, progress.add)) {
    for (const item of items) tally.look(item, problemOf(item, check));
    if (isStopped()) throw new FolderError('stopped before the end; nothing was imported');
  }
  progress.end();
}

/** Reads everything again and hands over what is good, a portion at a time. */
export async function bringIn(
  source: ImportSource,
  wishes: SourceWishes,
  target: ImportTarget,
  tally: ImportTally,
  progress: Progress,
  isStopped: () => boolean,
): Promise<void> {
  const check = new ImportCheck(source.about, nowMs());
  tally.goesTo(target.name);
  let events: ImportEvent[] = [];
  let fills: TransferFillLine[] = [];
  let readings: ImportReading[] = [];
  let wheres: Wheres = { events: [], fills: [], readings: [] };
  let filled = 0;
  const hand = async () => {
    const about = source.about === null ? {} : { about: source.about };
    // Entries need what they are about; readings come after them.
    const outcome = await target.take({ ...(events.length > 0 ? about : {}), events, fills, readings });
    tally.took(outcome, wheres);
    [events, fills, readings, wheres, filled] = [[], [], [], { events: [], fills: [], readings: [] }, 0];
  };
  if (source.about !== null) await target.take({ about: source.about, events: [], fills: [], readings: [] });
  for await (const items of sourceItems(source, wishes, progress.add)) {
    for (const item of items) {
      if (problemOf(item, check) !== null) continue;
      if (item.kind === 'event') {
        events.push(item.event);
        wheres.events.push(item.where);
      } else if (item.kind === 'fill') {
        fills.push(item.line);
        wheres.fills.push(item.where);
        filled += item.line.kind === 'fill-plan' ? 1 / PORTION_PLANS_MAX : 1 / PORTION_BOTTLES_MAX;
      } else if (item.kind === 'reading') {
        readings.push(item.reading);
        wheres.readings.push(item.where);
      }
      const isFull = events.length + readings.length >= PORTION_READINGS_MAX;
      if (isFull || filled > 1 - 1 / PORTION_PLANS_MAX) await hand();
    }
    if (!isStopped()) continue;
    tally.cut();
    break;
  }
  if (events.length + fills.length + readings.length > 0) await hand();
  progress.end();
}

/** What is wrong with a thing that was read; null if nothing is. */
function problemOf(item: SourceItem, check: ImportCheck): string | null {
  switch (item.kind) {
    case 'problem':
      return item.text;
    case 'note':
      return null;
    case 'event':
      return check.ofEvent(item.event);
    case 'fill':
      return check.ofFillLine(item.line);
    case 'reading':
      return check.ofReading(item.reading);
  }
}
