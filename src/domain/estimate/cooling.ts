import type { HoursAhead } from './types.ts';
export function createCoolingEstimate(_setC: number, _startC: number, _litres: number, _place: string) {
  return {
    observe(_atMs: number, _beerC: number): void {},
    hoursUntil(_goalC: number, _nowMs: number): HoursAhead | null {
      return null;
    },
  };
}
