import { within } from './range.ts';
import { type KpaGauge, kpaGauge } from './units.ts';

/**
 * Pressure from a ratiometric transducer that gives 0.5 to 4.5 V on a 5 V supply (kPa gauge): P = span (V/Vs − 0.1)/0.8.
 * Measure the supply too: the output follows it. Output outside 0.25 to 4.75 V of 5 V means a broken wire and is refused.
 * @source ratiometric law of such transducers; the 0.5 to 4.5 V from memory
 */
export function ratiometricPressure(outputVolts: number, supplyVolts: number, span: KpaGauge): KpaGauge {
  within('supply', supplyVolts, 'V', 3, 6);
  within('span', span, 'kPa', 1, 100_000);
  const ratio = within('output over supply', outputVolts / supplyVolts, '', 0.05, 0.95);
  return kpaGauge((span * (ratio - 0.1)) / 0.8);
}
