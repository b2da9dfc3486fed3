/** Aim: the document that the service tells of itself is whole, is OpenAPI 3.1, and names every route there is. */
import type { OpenAPIV3_1 } from 'openapi-types';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { PROBLEMS } from '../../src/contract/index.ts';
import { anHttpWorld, type HttpWorld } from '../support/http-world.ts';
import { sourceFiles } from '../support/source-tree.ts';

let http: HttpWorld;
let document: OpenAPIV3_1.Document;

beforeAll(async () => {
  http = await anHttpWorld();
  document = (await http.ask('GET', '/openapi.json')).json();
});
afterAll(() => http.server.close());

const METHODS = ['get', 'put', 'post', 'patch', 'delete'] as const;
interface Operation {
  readonly method: string;
  readonly path: string;
  readonly operation: OpenAPIV3_1.OperationObject;
}
const operations = (): Operation[] =>
  Object.entries(document.paths ?? {}).flatMap(([path, item]) =>
    METHODS.flatMap((method) => {
      const operation = item?.[method];
      return operation === undefined ? [] : { method, path, operation };
    }),
  );

/** Every object of the document. */
function* objectsIn(value: unknown): Generator<Record<string, unknown>> {
  if (Array.isArray(value)) for (const one of value) yield* objectsIn(one);
  else if (typeof value === 'object' && value !== null) {
    yield value as Record<string, unknown>;
    for (const one of Object.values(value)) yield* objectsIn(one);
  }
}

/** Routes as the sources name them. */
function routesOfSources(): string[] {
  const routes = sourceFiles('src/http/routes').flatMap(({ path, code }) => {
    const prefix = /\/(health|acknowledge)\.ts$/.test(path) ? '' : '/api/v1';
    return [...code.matchAll(/api\.(get|put|post|patch|delete)\(\s*'([^']+)'/g)].map(
      ([, method = '', route = '']) => `${method} ${prefix}${route.replace(/:(\w+)/g, '{$1}')}`,
    );
  });
  return routes.toSorted();
}

describe('the document', () => {
  test('says what it is', () => {
    expect(document.openapi).toMatch(/^3\.1\.\d+$/);
    expect(document.info).toMatchObject({ title: 'Quietkeg', version: '1.2.3' });
  });

  test('names every route, and no other', () => {
    const documented = operations().map(({ method, path }) => `${method} ${path}`);
    expect(routesOfSources().length).toBeGreaterThan(25);
    expect(documented.toSorted()).toEqual(routesOfSources());
  });

  test('names the parameters of every path', () => {
    for (const { method, path, operation } of operations()) {
      const inPath = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name);
      const parameters = (operation.parameters ?? []) as OpenAPIV3_1.ParameterObject[];
      const told = parameters.filter((parameter) => parameter.in === 'path');
      expect({ method, path, names: told.map(({ name }) => name) }).toEqual({ method, path, names: inPath });
      for (const parameter of parameters) {
        if (parameter.in === 'path') expect(parameter.required).toBe(true);
        expect(parameter.schema).toBeDefined();
      }
    }
  });

  test('tells a good answer of each, with a description, and problems as problems', () => {
    for (const { method, path, operation } of operations()) {
      const responses = operation.responses ?? {};
      const codes = Object.keys(responses);
      expect({ method, path, good: codes.some((code) => code.startsWith('2')) }).toEqual({ method, path, good: true });
      for (const response of Object.values(responses)) expect(response).toHaveProperty('description');
      if (!path.startsWith('/api/')) continue;
      expect(codes).toEqual(expect.arrayContaining(['4XX', '5XX']));
    }
  });

  test('tells the body of each that takes one', () => {
    const without = operations()
      .filter(
        ({ method, operation }) => ['put', 'post', 'patch'].includes(method) && operation.requestBody === undefined,
      )
      .map(({ method, path }) => `${method} ${path}`);
    expect(without).toEqual([
      'post /acknowledge/{token}',
      'post /api/v1/alerts/{id}/acknowledgement',
      'post /api/v1/acknowledge-links/renewal',
      'post /api/v1/plans/calendar',
    ]);
  });

  test('refers only to what is there', () => {
    for (const { $ref } of objectsIn(document)) {
      if (typeof $ref !== 'string') continue;
      const target = $ref
        .slice(2)
        .split('/')
        .reduce<unknown>((at, name) => (at as Record<string, unknown> | undefined)?.[name], document);
      expect({ $ref, found: target !== undefined }).toEqual({ $ref, found: true });
    }
  });

  // OpenAPI 3.1 uses JSON Schema 2020-12: `nullable` and boolean exclusive limits belong to 3.0.
  test('uses no words of the version before', () => {
    for (const schema of objectsIn(document)) {
      expect(schema).not.toHaveProperty('nullable');
      expect(typeof schema.exclusiveMinimum).not.toBe('boolean');
      expect(typeof schema.exclusiveMaximum).not.toBe('boolean');
    }
  });

  test('is plain JSON that says nothing of the machine', () => {
    const text = JSON.stringify(document);
    expect(text).not.toMatch(/undefined|\/work\/|\/tmp\/|node_modules/);
  });
});

test('every code of a problem has a status of its kind and a title of its own', () => {
  const titles = Object.values(PROBLEMS).map(({ title }) => title);
  expect(new Set(titles).size).toBe(titles.length);
  for (const { status } of Object.values(PROBLEMS)) {
    expect(status).toBeGreaterThanOrEqual(400);
    expect(status).toBeLessThan(600);
  }
});
