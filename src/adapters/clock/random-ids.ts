import { randomUUID } from 'node:crypto';
import type { NewId } from '../../ports/ids.ts';

export const randomIds: NewId = () => randomUUID();
