import { expect, test } from 'vitest';
import { airPressureAtAltitude } from '../../src/physics/atmosphere.ts';
import { equilibriumPressure, equilibriumVolumes } from '../../src/physics/carbonation.ts';
import { celsius, convert, kpaAbsolute, metres, volumes } from '../../src/physics/units.ts';

/** Source: the trade's classic carbonation chart (BrewingTechniques 2.1, "Table I"), row 38 °F. */
test.each([
  [10, 2.38],
  [12, 2.57],
])('beer at 38 °F under %d psi at sea level holds %d volumes in the end', (psi, charted) => {
  const co2 = kpaAbsolute(convert(psi, '[psi]', 'kPa') + airPressureAtAltitude(metres(0)));
  const computed = equilibriumVolumes(celsius(convert(38, '[degF]', 'Cel')), co2);
  expect(Math.abs(computed - charted)).toBeLessThan(0.05);
});

test('the pressure for a carbonation gives that carbonation back', () => {
  const pressure = equilibriumPressure(volumes(2.4), celsius(3));
  expect(equilibriumVolumes(celsius(3), pressure)).toBeCloseTo(2.4, 12);
});
