import { within } from './range.ts';
import { type Celsius, celsius } from './units.ts';

/** Molal freezing-point depression of water (K·kg/mol). @source CRC Handbook, cryoscopic constants, from memory: 1.86 */
const CRYOSCOPIC_CONSTANT = 1.86;
/** Molar mass of ethanol (g/mol). @source IUPAC standard atomic weights */
const ETHANOL_G_PER_MOL = 46.068;
/** Density of ethanol at 20 °C (kg/L). @source CRC Handbook, from memory: 0.7893 */
const ETHANOL_KG_PER_L = 0.7893;

/**
 * Where a beer begins to freeze, from its alcohol alone (°C; 0 to 12 % by volume). Extract lowers the true point a
 * little further, so this is the warm, safe end.
 * @source Raoult/van 't Hoff: ΔT = Kf · molality, ideal dilute solution
 */
export function beerFreezingPoint(abvPercent: number): Celsius {
  within('alcohol', abvPercent, '% by volume', 0, 12);
  const ethanolG = abvPercent * 10 * ETHANOL_KG_PER_L;
  const waterKg = (1000 - abvPercent * 10) / 1000;
  return celsius(-(CRYOSCOPIC_CONSTANT * ethanolG) / ETHANOL_G_PER_MOL / waterKg);
}
