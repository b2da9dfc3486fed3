/** A number from 0 to below 1, each as likely as any other. */
export type Chance = () => number;
