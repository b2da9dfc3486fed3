/** `npm run bench`: each figure with a limit measured in the same run, because the machines are noisy. */
import { benchCalculate } from './calculate.ts';
import { benchEstimate } from './estimate.ts';
import { printFigure } from './figure.ts';
import { benchMessages } from './messages.ts';
import { benchReadings } from './readings.ts';
import { benchWholePath } from './whole-path.ts';

const { answersMs, limitMs, requests } = await benchCalculate();
printFigure({
  what: `${requests} lines of calculate`,
  measured: answersMs,
  limit: limitMs,
  unit: 'ms',
  limitIs: 'parsing and writing the same JSON',
});
for (const figure of benchEstimate()) printFigure(figure);
for (const figure of await benchReadings()) printFigure(figure);
for (const figure of await benchMessages()) printFigure(figure);
for (const figure of await benchWholePath()) printFigure(figure);
