/**
 * The particles: each one a keg that could be this one. A column per quantity, so that a step runs through plain arrays.
 * The first `tight` particles have no leak, the others do; no particle ever changes sides.
 */
export interface Cloud {
  readonly size: number;
  readonly tight: number;
  readonly columns: Record<ColumnName, Float64Array>;
  /** The columns that move with every step, one after the other: what `columns` shows parts of. */
  readonly cells: Float64Array;
  /** The same of those that last from one renewal to the next. Copies share them until one writes: see `ownLasting`. */
  readonly lasting: { cells: Float64Array; shared: boolean };
}

const MOVING = [
  /** Content of the top layer, of the bulk below it and of the deep below that (chart volumes). */
  'top',
  'bulk',
  'deep',
  /** CO2 in the headspace while the keg is closed (mol), and what else is there then (Pa). */
  'gas',
  'inert',
  /** Air left in the headspace (Pa). */
  'air',
  /** How far mixing and surface are off their mean at present (ln). */
  'xi',
  'psi',
  /** Gain by shaking (ln), drawn at each. */
  'lnShake',
  /** 0: the valve is as entered; 1: closed was entered but it is open; 2: it will be closed a little later. */
  'held',
  /** What yeast can still make (volumes). */
  'sugar',
  'logWeight',
  /** What follows from time constant, depths and the present xi and psi: see `derive`. */
  'surfaceRate',
  'mixRate',
  'deepRate',
] as const;

/** Whoever writes one of these after the particles were drawn calls `ownLasting` first. */
const LASTING = [
  /** The headspace (m3), the surface of the beer (m2). */
  'space',
  'area',
  /** Time constant (ln s), share of the surface in it (logit), depth of the top layer (ln m). */
  'lnTau',
  'logitSurface',
  'lnDepth',
  /** Share of what hinders mixing that lies between bulk and deep (logit), share of the beer under the top that is deep. */
  'logitDeep',
  'deepShare',
  /** Zero error of the pressure probe (Pa); ln of what solubility is off by the thermometer's error. */
  'zero',
  'eta',
  /** Beer's solubility over the chart's: only the mass of gas depends on it. */
  'henry',
  /** Giving off over taking up. */
  'outgas',
  /** How much bubbles help supersaturated beer to give off (per volume beyond a quarter). */
  'bubbles',
  /** Mixing by heat (per K/h). */
  'stir',
  /** How much of the exchange is driven by the difference itself, as sinking dense beer is: 0 to 1. */
  'driven',
  /** How fast a top that holds less than the bulk, and so floats on it, still mixes: 0 to 1. */
  'floating',
  /** Gain by a stone (ln). */
  'lnStone',
  /** Area of the leak (m2); 0: none. */
  'leak',
  /** How fast yeast works (1/s at 20 degC). */
  'yeast',
  /** Standard normal: how pressure and temperature are off while they are unknown. */
  'luckP',
  'luckT',
  /** Mass of gas when the keg was first weighed (kg). */
  'weighed',
  /** What follows from the above: see `derive`. */
  'topM3',
  'bulkM3',
  'deepM3',
  'mixM3',
  'deepMixM3',
  'warmth',
] as const;

const COLUMNS = [...MOVING, ...LASTING] as const;

export type ColumnName = (typeof COLUMNS)[number];

/** A cell; 0 beyond the end. */
export const at = (cells: Float64Array, index: number): number => cells[index] ?? 0;

export function createCloud(size: number, tight: number): Cloud {
  const lasting = { cells: new Float64Array(LASTING.length * size), shared: false };
  return cloudOf(size, tight, new Float64Array(MOVING.length * size), lasting);
}

type Columns = Record<ColumnName, Float64Array>;

function cloudOf(size: number, tight: number, cells: Float64Array, lasting: Cloud['lasting']): Cloud {
  const columns: Partial<Columns> = {};
  showParts(columns, MOVING, cells, size);
  showParts(columns, LASTING, lasting.cells, size);
  return { size, tight, columns: columns as Columns, cells, lasting };
}

function showParts(columns: Partial<Columns>, names: readonly ColumnName[], cells: Float64Array, size: number): void {
  for (const [place, name] of names.entries()) columns[name] = cells.subarray(place * size, (place + 1) * size);
}

/** Makes the lasting columns this cloud's own. Columns that were looked up before it are no longer the right ones. */
export function ownLasting(cloud: Cloud): void {
  const { lasting } = cloud;
  if (!lasting.shared) return;
  lasting.cells = lasting.cells.slice();
  lasting.shared = false;
  showParts(cloud.columns, LASTING, lasting.cells, cloud.size);
}

/** V/A of the keg whose time constant the prior speaks of (m): 18.5 L on 0.0363 m2. */
const REFERENCE_DEPTH_M = 0.51;

/** Works out what follows from a particle's constants: layers (m3) and rates (1/s at 4 degC). */
export function derive(cloud: Cloud, index: number, totalM3: number): void {
  const c = cloud.columns;
  const beerM3 = Math.max(1e-4, totalM3 - at(c.space, index));
  const area = at(c.area, index);
  const topM3 = Math.min(area * Math.exp(at(c.lnDepth, index)), 0.2 * beerM3);
  const share = at(c.deepShare, index);
  const deepM3 = share * (beerM3 - topM3);
  const bulkM3 = beerM3 - topM3 - deepM3;
  const surface = 1 / (1 + Math.exp(-at(c.logitSurface, index)));
  const below = 1 / (1 + Math.exp(-at(c.logitDeep, index)));
  const velocity = (REFERENCE_DEPTH_M * area) / Math.exp(at(c.lnTau, index));
  const mixing = (velocity * Math.exp(at(c.xi, index))) / (1 - surface);
  const mixM3 = (topM3 * bulkM3) / (topM3 + bulkM3);
  const deepMixM3 = (bulkM3 * deepM3) / (bulkM3 + deepM3);
  c.topM3[index] = topM3;
  c.bulkM3[index] = bulkM3;
  c.deepM3[index] = deepM3;
  c.mixM3[index] = mixM3;
  c.deepMixM3[index] = deepMixM3;
  c.surfaceRate[index] = (velocity * Math.exp(at(c.psi, index))) / (surface * topM3);
  c.mixRate[index] = mixing / ((1 - below) * mixM3);
  // Only the share that goes on to the deep crosses this border, and only so much of the beer is late by it.
  c.deepRate[index] = (mixing * share * share) / (below * deepMixM3);
  c.warmth[index] = Math.exp(at(c.eta, index));
}

/** As `derive`, where only the speeds have changed, by these factors (ln). */
export function hasten(cloud: Cloud, index: number, lnSurface: number, lnMix: number): void {
  const { psi, xi, surfaceRate, mixRate, deepRate } = cloud.columns;
  psi[index] = at(psi, index) + lnSurface;
  xi[index] = at(xi, index) + lnMix;
  surfaceRate[index] = at(surfaceRate, index) * Math.exp(lnSurface);
  const faster = Math.exp(lnMix);
  mixRate[index] = at(mixRate, index) * faster;
  deepRate[index] = at(deepRate, index) * faster;
}

export function deriveAll(cloud: Cloud, totalM3: number): void {
  ownLasting(cloud);
  for (let index = 0; index < cloud.size; index += 1) derive(cloud, index, totalM3);
}

/** What the beer of a particle holds, evenly mixed (chart volumes). */
export function contentOf(cloud: Cloud, index: number): number {
  const { top, bulk, deep, topM3, bulkM3, deepM3 } = cloud.columns;
  const upper = at(topM3, index);
  const middle = at(bulkM3, index);
  const lower = at(deepM3, index);
  const held = at(top, index) * upper + at(bulk, index) * middle + at(deep, index) * lower;
  return held / (upper + middle + lower);
}

/** The beer of a particle (m3). */
export function beerM3Of(cloud: Cloud, index: number): number {
  const { topM3, bulkM3, deepM3 } = cloud.columns;
  return at(topM3, index) + at(bulkM3, index) + at(deepM3, index);
}

/** All beer of a particle holds the same (chart volumes). */
export function fillEvenly(cloud: Cloud, index: number, volumes: number): void {
  const { top, bulk, deep } = cloud.columns;
  top[index] = volumes;
  bulk[index] = volumes;
  deep[index] = volumes;
}

/** Copies one particle over another, of another cloud or the same. The target's lasting columns must be its own. */
export function copyParticle(from: Cloud, source: number, to: Cloud, target: number): void {
  for (let place = 0; place < MOVING.length; place += 1) {
    to.cells[place * to.size + target] = at(from.cells, place * from.size + source);
  }
  for (let place = 0; place < LASTING.length; place += 1) {
    to.lasting.cells[place * to.size + target] = at(from.lasting.cells, place * from.size + source);
  }
}

/** A cloud that goes its own way. What lasts is shared until either of the two writes. */
export function copyCloud({ size, tight, cells, lasting }: Cloud): Cloud {
  lasting.shared = true;
  return cloudOf(size, tight, cells.slice(), { ...lasting });
}

/** All columns as plain numbers, and back. */
export function packCloud(cloud: Cloud): PackedCloud {
  const columns: Record<string, readonly number[]> = {};
  for (const name of COLUMNS) columns[name] = Array.from(cloud.columns[name]);
  return { size: cloud.size, tight: cloud.tight, columns };
}

export interface PackedCloud {
  readonly size: number;
  readonly tight: number;
  readonly columns: Readonly<Record<string, readonly number[]>>;
}

export function unpackCloud(packed: PackedCloud): Cloud {
  const cloud = createCloud(packed.size, packed.tight);
  for (const name of COLUMNS) {
    const values = packed.columns[name];
    if (values?.length !== packed.size) {
      throw new Error(`estimate: ${name} is not whole in this snapshot; begin anew from the filling`);
    }
    cloud.columns[name].set(values);
  }
  return cloud;
}
