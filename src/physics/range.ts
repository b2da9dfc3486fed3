/** Thrown by every function of this folder for input outside its stated range; never for anything else. */
export class PhysicsRangeError extends RangeError {
  readonly quantity: string;
  readonly value: number;
  readonly unit: string;

  constructor(quantity: string, value: number, unit: string, low: number, high: number) {
    const suffix = unit === '' ? '' : ` ${unit}`;
    super(`${quantity} is ${value}${suffix}; it must be between ${low} and ${high}${suffix}`);
    this.name = 'PhysicsRangeError';
    this.quantity = quantity;
    this.value = value;
    this.unit = unit;
  }
}

/** Returns `value` if it is a finite number within [low, high], else throws `PhysicsRangeError`. */
export function within<T extends number>(quantity: string, value: T, unit: string, low: number, high: number): T {
  if (!Number.isFinite(value) || value < low || value > high) {
    throw new PhysicsRangeError(quantity, value, unit, low, high);
  }
  return value;
}

/** Returns `value` if it is a finite number, else throws `PhysicsRangeError`: neither NaN nor infinity travels on. */
export function finite<T extends number>(quantity: string, value: T, unit: string): T {
  return within(quantity, value, unit, -Number.MAX_VALUE, Number.MAX_VALUE);
}
