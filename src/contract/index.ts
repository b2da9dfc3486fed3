export * from './alert.ts';
export * from './catalogue.ts';
export * from './common.ts';
export * from './curve.ts';
export * from './event.ts';
export * from './live.ts';
export * from './problem.ts';
export * from './state.ts';
