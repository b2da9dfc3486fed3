/** Something that the probes say and nobody entered, or that contradicts what was entered. */
export interface Notice {
  readonly name:
    | 'closed-but-holds'
    | 'open-but-no-gas'
    | 'gas-shut'
    | 'gas-opened'
    | 'leak-suspected'
    | 'leak-likely'
    | 'probe-zero'
    | 'air-in-headspace';
  /** What is believed and what it rests on. */
  readonly message: string;
  /** What to do; empty if nothing is. */
  readonly advice: string;
  /** True: it was so lately, and is not any more. */
  readonly isOver?: true;
  /** The entry that would say so; null: there is none. */
  readonly entry: { readonly kind: 'gas-closed' | 'gas-opened'; readonly atMs: number } | null;
}
