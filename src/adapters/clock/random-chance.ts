import { randomInt } from 'node:crypto';
import type { Chance } from '../../ports/chance.ts';

const STEPS = 2 ** 32;

export const randomChance: Chance = () => randomInt(STEPS) / STEPS;
