import { expect, test } from 'vitest';
import { anHttpWorld } from '../support/http-world.ts';

const equilibrium = {
  what: 'equilibrium',
  temperature: { value: 38, unit: '[degF]' },
  pressure: { value: 11.3, unit: '[psi]' },
  altitude: { value: 0, unit: 'm' },
};

/** Source: the published Henry-type fit at 38 °F and 11.3 psi gauge at sea level, 2.51 volumes. */
test('calculates over HTTP as on the command line', async () => {
  const { server } = await anHttpWorld();
  const answer = await server.inject({ method: 'POST', url: '/api/v1/calculate', payload: equilibrium });
  expect(answer.statusCode).toBe(200);
  expect(Math.abs(answer.json().volumes - 2.51)).toBeLessThanOrEqual(0.02);
});

test('says why it cannot: a wrong unit, and values outside what is known', async () => {
  const { server } = await anHttpWorld();
  const post = async (payload: object) => {
    const answer = await server.inject({ method: 'POST', url: '/api/v1/calculate', payload });
    return { status: answer.statusCode, ...answer.json() };
  };
  const wrongUnit = await post({ ...equilibrium, temperature: { value: 38, unit: 'kPa' } });
  expect(wrongUnit).toMatchObject({ status: 400, type: 'urn:quietkeg:problem:body-invalid' });
  const tooHot = await post({ ...equilibrium, temperature: { value: 95, unit: 'Cel' } });
  expect(tooHot).toMatchObject({ status: 422, type: 'urn:quietkeg:problem:calculation-refused' });
  expect(tooHot.detail).toMatch(/temperature/);
});
