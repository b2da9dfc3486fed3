import { z } from 'zod';
import type { Sample } from '../../domain/sample.ts';
import type { DecodeOutcome, PayloadDecoder } from '../../ports/payload-decoder.ts';
import { readPointer } from './json-pointer.ts';
import { readSenmlPack } from './senml.ts';

/** Larger payloads are no reading of a probe. */
const PAYLOAD_BYTES_MAX = 16_384;

/** A number as JSON writes it (RFC 8259, section 6): no blanks, no hex, no decimal comma, no NaN. */
const NUMBER = /^-?(0|[1-9]\d*)(\.\d+)?([eE][+-]?\d+)?$/;
/** An RFC 3339 time with its offset. */
const RFC3339 = z.iso.datetime({ offset: true });
const Unit = z.string().min(1).max(20);

const Measurement = z.object({
  value: z.number(),
  unit: Unit.optional(),
  time: z.union([z.number(), z.string()]).optional(),
});

const refuse = (reason: string): DecodeOutcome => ({ ok: false, reason });

export const jsonPayloadDecoder: PayloadDecoder = {
  decode(payload, pointer) {
    if (payload.byteLength === 0) return refuse('the payload is empty: that clears a retained message, it is no value');
    if (payload.byteLength > PAYLOAD_BYTES_MAX) {
      return refuse(`the payload has ${payload.byteLength} bytes; at most ${PAYLOAD_BYTES_MAX} are read`);
    }
    const text = decodeUtf8(payload);
    if (text === null) return refuse('the payload is not UTF-8 text');
    if (pointer === null && NUMBER.test(text)) return numberSample(Number(text), null, null);
    const json = parseJson(text);
    if (!json.ok) return refuse(json.reason);
    if (pointer !== null) return readUnderPointer(json.value, pointer);
    if (Array.isArray(json.value)) return readSenmlPack(json.value);
    return readMeasurement(json.value);
  },
};

function decodeUtf8(payload: Uint8Array): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(payload);
  } catch {
    return null;
  }
}

type Json = { readonly ok: true; readonly value: unknown } | { readonly ok: false; readonly reason: string };

function parseJson(text: string): Json {
  // Such keys are never a reading and only ever an attempt to change how objects behave.
  if (text.includes('"__proto__"')) return { ok: false, reason: 'the payload names __proto__' };
  try {
    return { ok: true, value: JSON.parse(text) };
  } catch {
    return {
      ok: false,
      reason: 'expected a number such as 4.1, an object such as {"value":4.1,"unit":"Cel"}, or a SenML pack',
    };
  }
}

function numberSample(value: number, unit: string | null, time: Sample['time']): DecodeOutcome {
  if (!Number.isFinite(value)) return refuse('the number is too large');
  return { ok: true, samples: [{ value, unit, time, name: null }] };
}

function readMeasurement(json: unknown): DecodeOutcome {
  const parsed = Measurement.safeParse(json);
  if (!parsed.success) {
    const issue = parsed.error.issues[0];
    return refuse(
      `expected {"value":number,"unit"?:UCUM code,"time"?:RFC 3339}; ${issue?.path.join('/') || 'payload'}: ${issue?.message ?? ''}`,
    );
  }
  const { value, unit, time } = parsed.data;
  const read = readTime(time);
  return read.ok ? numberSample(value, unit ?? null, read.time) : refuse(read.reason);
}

type Time = { readonly ok: true; readonly time: Sample['time'] } | { readonly ok: false; readonly reason: string };

/** A time in a message: RFC 3339 text, or a Unix time whose unit is told by the probe. */
function readTime(time: string | number | undefined): Time {
  if (time === undefined) return { ok: true, time: null };
  if (typeof time === 'number') return { ok: true, time: { kind: 'number', value: time } };
  const instant = RFC3339.safeParse(time);
  if (!instant.success)
    return { ok: false, reason: `time ${JSON.stringify(time.slice(0, 40))} is not RFC 3339 with an offset` };
  return { ok: true, time: { kind: 'instant', atMs: Date.parse(instant.data) } };
}

/** A mapped message: the value under the pointer, itself a number, a number in a string, or an object with a value. */
function readUnderPointer(json: unknown, pointer: string): DecodeOutcome {
  const found = readPointer(json, pointer);
  if (found === undefined) return refuse(`there is nothing under ${pointer || 'the whole payload'}`);
  if (typeof found === 'number') return numberSample(found, null, null);
  if (typeof found === 'string' && NUMBER.test(found)) return numberSample(Number(found), null, null);
  if (typeof found === 'object' && found !== null && !Array.isArray(found)) return readMeasurement(found);
  return refuse(`under ${pointer || 'the whole payload'} there is no number`);
}
