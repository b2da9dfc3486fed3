import { h } from 'preact';
import type { Example } from '../example.ts';
import { Cautions } from './cautions.tsx';

export const examples: readonly Example[] = [{ name: 'all', render: () => h(Cautions, null) }];
