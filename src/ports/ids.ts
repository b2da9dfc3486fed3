/** Gives names to things: unique, of a-z, 0-9 and -. */
export type NewId = () => string;
