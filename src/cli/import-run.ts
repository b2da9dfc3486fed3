/** An import in two goes: look through everything, then bring in what is good. */
import { ImportCheck } from '../app/import-check.ts';
import type { ImportEvent, ImportReading } from '../contract/index.ts';
import { PORTION_READINGS_MAX } from '../contract/index.ts';
import { nowMs } from '../offline.ts';
import { type ImportSource, type SourceItem, type SourceWishes, sourceItems } from './import-source.ts';
import type { ImportTally } from './import-tally.ts';
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
  let readings: ImportReading[] = [];
  let wheres: { events: string[]; readings: string[] } = { events: [], readings: [] };
  const hand = async () => {
    const about = source.about === null ? {} : { about: source.about };
    // Entries need what they are about; readings come after them.
    const outcome = await target.take(events.length > 0 ? { ...about, events, readings } : { events, readings });
    tally.took(outcome, wheres);
    [events, readings, wheres] = [[], [], { events: [], readings: [] }];
  };
  if (source.about !== null) await target.take({ about: source.about, events: [], readings: [] });
  for await (const items of sourceItems(source, wishes, progress.add)) {
    for (const item of items) {
      if (problemOf(item, check) !== null) continue;
      if (item.kind === 'event') {
        events.push(item.event);
        wheres.events.push(item.where);
      } else if (item.kind === 'reading') {
        readings.push(item.reading);
        wheres.readings.push(item.where);
      }
      if (events.length + readings.length >= PORTION_READINGS_MAX) await hand();
    }
    if (!isStopped()) continue;
    tally.cut();
    break;
  }
  if (events.length + readings.length > 0) await hand();
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
    case 'reading':
      return check.ofReading(item.reading);
  }
}
