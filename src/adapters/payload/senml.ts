import { z } from 'zod';
import type { Sample } from '../../domain/sample.ts';
import type { DecodeOutcome } from '../../ports/payload-decoder.ts';

/** The version of SenML that this reads. @source RFC 8428, section 4.4 */
const SENML_VERSION = 10;
const RECORDS_MAX = 500;
/** Times below are relative to now. @source RFC 8428, section 4.5.3: 2**28 s */
const RELATIVE_TIME_S = 2 ** 28;

/** One SenML record. @source RFC 8428, section 4, table 1 */
const SenmlRecord = z.object({
  bn: z.string().optional(),
  bt: z.number().optional(),
  bu: z.string().optional(),
  bv: z.number().optional(),
  bver: z.number().optional(),
  n: z.string().optional(),
  u: z.string().optional(),
  v: z.number().optional(),
  vs: z.string().optional(),
  vb: z.boolean().optional(),
  vd: z.string().optional(),
  s: z.number().optional(),
  t: z.number().optional(),
});
type SenmlRecord = z.infer<typeof SenmlRecord>;

/** SenML spells some units otherwise than UCUM. @source RFC 8428, section 12.1; RFC 8798, table 1 */
const UCUM_OF_SENML: Readonly<Record<string, string>> = { l: 'L', hPa: 'mbar', ppm: '[ppm]' };

const refuse = (reason: string): DecodeOutcome => ({ ok: false, reason });

/** Resolves a pack's base fields and gives its numeric values; fields ending in _ are "must understand" and refused. */
export function readSenmlPack(pack: readonly unknown[]): DecodeOutcome {
  if (pack.length === 0) return refuse('the SenML pack is empty');
  if (pack.length > RECORDS_MAX)
    return refuse(`the SenML pack has ${pack.length} records; at most ${RECORDS_MAX} are read`);
  const base = { name: '', timeS: 0, unit: null as string | null, value: 0 };
  const samples: (Sample & { name: string | null })[] = [];
  for (const [index, raw] of pack.entries()) {
    const parsed = SenmlRecord.safeParse(raw);
    if (!parsed.success) return refuse(`SenML record ${index}: ${parsed.error.issues[0]?.message ?? 'not a record'}`);
    const unknown = Object.keys(raw as object).find((name) => name.endsWith('_'));
    if (unknown !== undefined) return refuse(`SenML record ${index} demands that ${unknown} is understood; it is not`);
    const record = parsed.data;
    if (record.bver !== undefined && record.bver > SENML_VERSION)
      return refuse(`SenML version ${record.bver} is not known`);
    base.name = record.bn ?? base.name;
    base.timeS = record.bt ?? base.timeS;
    base.unit = record.bu ?? base.unit;
    base.value = record.bv ?? base.value;
    const sample = resolve(record, base);
    if (sample !== null) samples.push(sample);
  }
  return samples.length === 0 ? refuse('the SenML pack holds no numeric value') : { ok: true, samples };
}

function resolve(
  record: SenmlRecord,
  base: { readonly name: string; readonly timeS: number; readonly unit: string | null; readonly value: number },
): (Sample & { name: string | null }) | null {
  if (record.v === undefined) return null;
  const unit = record.u ?? base.unit;
  const timeS = base.timeS + (record.t ?? 0);
  const name = base.name + (record.n ?? '');
  return {
    value: base.value + record.v,
    unit: unit === null ? null : (UCUM_OF_SENML[unit] ?? unit),
    time: sampleTime(timeS),
    name: name === '' ? null : name,
  };
}

/** Absent and 0 are "now"; small numbers are seconds from now; others Unix seconds. @source RFC 8428, section 4.5.3 */
function sampleTime(timeS: number): Sample['time'] {
  if (timeS === 0) return null;
  const ms = Math.round(timeS * 1000);
  return timeS < RELATIVE_TIME_S ? { kind: 'relative', offsetMs: ms } : { kind: 'instant', atMs: ms };
}
