import fc from 'fast-check';
import type { OpenAPIV3_1 } from 'openapi-types';

/** A request that a route might get: mostly of its form, often not. */
export interface AnyRequest {
  readonly method: 'GET' | 'PUT' | 'POST' | 'PATCH' | 'DELETE';
  readonly url: string;
  readonly headers: Readonly<Record<string, string>>;
  readonly payload?: string;
}

type Schema = Readonly<Record<string, unknown>>;
const METHODS = ['get', 'put', 'post', 'patch', 'delete'] as const;
const DEPTH_MAX = 6;

/** Texts that have broken programs: other types, paths, markup, controls, names of Object's own. */
const ODD_TEXTS = [
  '',
  ' ',
  '0',
  '-1',
  '1e999',
  'NaN',
  'null',
  '__proto__',
  'constructor',
  'toString',
  '../../etc/passwd',
  '..%2f..',
  '%',
  '\u0000',
  '\ud800',
  '\u202e',
  '<script>alert(1)</script>',
  "'; drop table keg; --",
  '{{7*7}}',
  '=1+1',
  'a\r\nx-injected: 1',
  'x'.repeat(5000),
  'place',
  'one',
  '2026-06-01T12:00:00Z',
  '+275760-09-13T00:00:00.001Z',
  '0000-01-01T00:00:00Z',
];
const oddText = fc.constantFrom(...ODD_TEXTS);
/** Ids that a world is likely to hold, so that requests meet something. */
const knownId = fc.constantFrom('one', 'two', 'fridge', 'gas', 'one.beer-temperature', 'cold-enough', 'b1', 'anna');
const oddNumber = fc.constantFrom(0, -0, -1, 1, 0.1, 1e-320, 1e308, -1e308, 2 ** 31, 2 ** 53, 2 ** 53 + 2);

/** Any value of a JSON schema, now and then one that is not. */
function anyOf(schema: Schema, document: OpenAPIV3_1.Document, depth = 0): fc.Arbitrary<unknown> {
  const odd = fc.oneof(oddText, oddNumber, fc.constantFrom(null, true, [], {}), fc.jsonValue({ maxDepth: 2 }));
  return fc.oneof({ weight: 12, arbitrary: wellFormed(schema, document, depth) }, { weight: 1, arbitrary: odd });
}

function wellFormed(schema: Schema, document: OpenAPIV3_1.Document, depth: number): fc.Arbitrary<unknown> {
  const inner = (one: unknown) => anyOf(one as Schema, document, depth + 1);
  if (depth > DEPTH_MAX) return fc.constant(null);
  if (typeof schema.$ref === 'string') {
    const target = schema.$ref
      .slice(2)
      .split('/')
      .reduce<unknown>((at, name) => (at as Record<string, unknown>)[name], document);
    return wellFormed(target as Schema, document, depth);
  }
  if ('const' in schema) return fc.constant(schema.const);
  if (Array.isArray(schema.enum)) return fc.constantFrom(...schema.enum);
  const choices = (schema.anyOf ?? schema.oneOf) as readonly Schema[] | undefined;
  if (choices !== undefined) return fc.oneof(...choices.map((one) => wellFormed(one, document, depth + 1)));
  if (Array.isArray(schema.allOf)) return wellFormed(schema.allOf[0] as Schema, document, depth + 1);
  switch (Array.isArray(schema.type) ? schema.type[0] : schema.type) {
    case 'object':
      return anObject(schema, inner);
    case 'array':
      return fc.array(schema.items === undefined ? fc.jsonValue() : inner(schema.items), { maxLength: 4 });
    case 'integer':
    case 'number':
      return aNumber(schema);
    case 'boolean':
      return fc.boolean();
    case 'null':
      return fc.constant(null);
    default:
      return aText(schema);
  }
}

function anObject(schema: Schema, inner: (one: unknown) => fc.Arbitrary<unknown>): fc.Arbitrary<unknown> {
  const properties = Object.entries((schema.properties ?? {}) as Record<string, unknown>);
  const required = (schema.required ?? []) as readonly string[];
  const record = fc.record(Object.fromEntries(properties.map(([name, one]) => [name, inner(one)])), {
    requiredKeys: required.filter((name) => properties.some(([known]) => known === name)),
  });
  const extra = schema.additionalProperties;
  if (typeof extra !== 'object' || extra === null) return record;
  const named = fc.dictionary(fc.oneof(knownId, oddText), inner(extra), { maxKeys: 3 });
  return fc.tuple(record, named).map(([fixed, free]) => ({ ...free, ...(fixed as object) }));
}

function aNumber(schema: Schema): fc.Arbitrary<unknown> {
  const [min, max] = [Number(schema.minimum ?? -1e6), Number(schema.maximum ?? 1e6)];
  const low = Number.isFinite(min) ? Math.max(min, -1e9) : -1e6;
  const high = Number.isFinite(max) ? Math.min(max, 1e9) : 1e6;
  const edges = fc.constantFrom(low, high, low - 1, high + 1);
  const within =
    schema.type === 'integer'
      ? fc.integer({ min: Math.ceil(low), max: Math.floor(high) })
      : fc.double({ min: low, max: high, noNaN: true });
  return fc.oneof(
    { weight: 6, arbitrary: within },
    { weight: 1, arbitrary: edges },
    { weight: 1, arbitrary: oddNumber },
  );
}

function aText(schema: Schema): fc.Arbitrary<unknown> {
  const nearNow = fc.integer({ min: -40_000, max: 40_000 }).map((minutes) => {
    return new Date(Date.UTC(2026, 5, 1, 12) + minutes * 60_000).toISOString();
  });
  const looksLikeTime = schema.format === 'date-time' || String(schema.pattern ?? '').includes('T');
  if (looksLikeTime) return fc.oneof({ weight: 5, arbitrary: nearNow }, { weight: 1, arbitrary: oddText });
  return fc.oneof(knownId, knownId, fc.string({ maxLength: 30 }), oddText);
}

/** Requests to every route of the document. */
export function requestsOf(document: OpenAPIV3_1.Document): fc.Arbitrary<AnyRequest> {
  const operations = Object.entries(document.paths ?? {}).flatMap(([path, item]) =>
    METHODS.flatMap((method) => {
      const operation = item?.[method];
      return operation === undefined ? [] : [{ path, method, operation }];
    }),
  );
  return fc.oneof(...operations.map(({ path, method, operation }) => requestOf(document, path, method, operation)));
}

function requestOf(
  document: OpenAPIV3_1.Document,
  path: string,
  method: (typeof METHODS)[number],
  operation: OpenAPIV3_1.OperationObject,
): fc.Arbitrary<AnyRequest> {
  const parameters = (operation.parameters ?? []) as OpenAPIV3_1.ParameterObject[];
  const inPath = fc.record(
    Object.fromEntries(
      [...path.matchAll(/\{(\w+)\}/g)].map(([, name = '']) => {
        return [name, fc.oneof({ weight: 5, arbitrary: knownId }, { weight: 1, arbitrary: oddText })];
      }),
    ),
  );
  const query = fc.record(
    Object.fromEntries(
      parameters.filter((one) => one.in === 'query').map((one) => [one.name, anyOf(one.schema as Schema, document)]),
    ),
    { requiredKeys: [] },
  );
  const bodyOf = (operation.requestBody as OpenAPIV3_1.RequestBodyObject | undefined)?.content;
  const schema = bodyOf?.['application/json']?.schema as Schema | undefined;
  const rubbish = fc.oneof(
    fc.string(),
    fc.constantFrom('{', '[]', 'null', '{"__proto__":{"x":1}}', '[['.repeat(20_000)),
  );
  const json = schema === undefined ? rubbish : anyOf(schema, document).map((value) => JSON.stringify(value) ?? '');
  const payload =
    method === 'get'
      ? fc.constant(undefined)
      : fc.oneof({ weight: 9, arbitrary: json }, { weight: 1, arbitrary: rubbish });
  const type = fc.oneof(
    { weight: 12, arbitrary: fc.constant('application/json') },
    {
      weight: 1,
      arbitrary: fc.constantFrom(
        'text/plain',
        'application/xml',
        'multipart/form-data',
        '',
        'application/json; charset=utf-16',
      ),
    },
  );
  return fc.tuple(inPath, query, payload, type).map(([names, asked, body, contentType]) => {
    const filled = path.replace(/\{(\w+)\}/g, (_all, name: string) => encoded(String(names[name])));
    const entries = Object.entries(asked).filter(([, value]) => value !== undefined);
    const search = entries.map(([name, value]) => `${name}=${encoded(String(value))}`).join('&');
    return {
      method: method.toUpperCase() as AnyRequest['method'],
      url: search === '' ? filled : `${filled}?${search}`,
      headers: body === undefined || contentType === '' ? {} : { 'content-type': contentType },
      ...(body === undefined ? {} : { payload: body }),
    };
  });
}

/** Half of a surrogate pair cannot be part of an address. */
function encoded(text: string): string {
  return encodeURIComponent(text.toWellFormed());
}

const level = fc.oneof(
  fc.constantFrom('probes', 'place', 'gas', 'site', 'one', 'beer-temperature', 'headspace-pressure', ''),
  oddText,
  fc.string({ maxLength: 12 }),
);

/** Topics of every kind: ours, misspelt, deep, empty, long. */
export const anyTopic: fc.Arbitrary<string> = fc.oneof(
  fc.constantFrom(
    'probes/one/beer-temperature',
    'probes/one/headspace-pressure',
    'probes/place/fridge/air-temperature',
  ),
  fc.array(level, { minLength: 1, maxLength: 12 }).map((levels) => levels.join('/')),
  fc.array(level, { maxLength: 3 }).map((levels) => ['probes', ...levels].join('/')),
);
