/** The chart as text for a terminal and as one printable page. Paper and ink: rules mark the window, nothing is coloured. */
import { type Chart, type ChartCell, WINDOW } from '../app/chart.ts';

const SHOWN = {
  us: { altitude: 'ft', temperature: '°F', pressure: 'psi', airDigits: 2 },
  metric: { altitude: 'm', temperature: '°C', pressure: 'kPa', airDigits: 1 },
} as const;

const minus = (text: string): string => text.replace('-', '−');

function altitudeText({ units, altitude, airAbsolute }: Chart): string {
  const shown = SHOWN[units];
  return `${minus(altitude.toFixed(0))} ${shown.altitude}, air pressure ${airAbsolute.toFixed(shown.airDigits)} ${shown.pressure}`;
}

const degrees = (value: number): string => minus(Number.isInteger(value) ? value.toFixed(0) : value.toFixed(1));

const WINDOW_TEXT = `${WINDOW.low.toFixed(1)} to ${WINDOW.high.toFixed(1)} volumes`;

export const CHART_NOTES: readonly string[] = [
  'The chart tells what the beer holds in the end, after days or weeks at one temperature and one pressure, not what it holds now.',
  'An average beer, pure CO2 and a purged headspace: a beer of your own can differ by 2 or 3 %, and the printed charts behind the formula by 0.05 volumes.',
  'Take the temperature in the beer, and check that the gauge shows nothing with the gas off. Stay within the stamp on the keg and the regulator.',
  'CO2 collects in closed and low rooms: ventilate, and follow local rules.',
];

/** Where the window begins and ends in a row: an upright before the cell of that index. */
function isEdge(cells: readonly ChartCell[], index: number): boolean {
  return (cells[index - 1]?.inWindow ?? false) !== (cells[index]?.inWindow ?? false);
}

/** The chart as plain text; the window stands between uprights in each row. */
export function chartText(chart: Chart): string {
  const shown = SHOWN[chart.units];
  const head = `${shown.temperature.padStart(5)} ${chart.pressures.map((value) => String(value).padStart(5)).join('')} `;
  const lines = chart.rows.map((cells, row) => {
    const body = cells.map((cell, index) => `${isEdge(cells, index) ? '|' : ' '}${cell.volumes.toFixed(2)}`).join('');
    const end = cells.at(-1)?.inWindow === true ? '|' : ' ';
    return `${degrees(chart.temperatures[row] ?? 0).padStart(5)} ${body}${end}`;
  });
  return [
    `Volumes of CO2 in the end, by beer temperature (${shown.temperature}, down) and gauge pressure (${shown.pressure}, across)`,
    `${altitudeText(chart)}${chart.altitudeAssumed ? ' (assumed: give --altitude)' : ''}; between the uprights ${WINDOW_TEXT}`,
    '',
    head.trimEnd(),
    ...lines.map((line) => line.trimEnd()),
    '',
    ...CHART_NOTES.map((note) => `- ${note}`),
    '',
  ].join('\n');
}

const STYLE = `
@page { size: landscape; margin: 9mm }
html { color: #111; background: #fff; font: 9pt/1.35 ui-sans-serif, "Segoe UI", "Helvetica Neue", Arial, sans-serif; font-variant-numeric: tabular-nums lining-nums }
body { margin: 0 auto; max-width: 272mm; padding: 4mm }
h1 { font: 700 19pt/1.1 Charter, "Bitstream Charter", "Iowan Old Style", Georgia, serif; margin: 0 0 1mm }
header p, footer p { margin: 0 0 1mm; max-width: 95em }
table { border-collapse: collapse; width: 100%; margin: 3mm 0; border-top: 2px solid }
caption { text-align: left; padding-bottom: 1mm }
th, td { padding: 0.32em 0.3em; text-align: right; font-weight: 400 }
thead th { border-bottom: 1px solid; font-weight: 700 }
tbody th { font-weight: 700; border-right: 1px solid }
tbody tr.fifth > * { border-bottom: 0.4px solid }
td.w { font-weight: 700 }
td.wl { border-left: 2px solid }
td.wr { border-right: 2px solid }
tbody td.wt { border-top: 2px solid }
tbody tr > td.wb { border-bottom: 2px solid }
footer { border-top: 1px solid; padding-top: 1.5mm }
@media print {
  html { font-size: 8pt; line-height: 1.2 }
  body { padding: 0; max-width: none }
  table { margin: 2mm 0 }
  th, td { padding: 0.09em 0.3em }
}
`;

function cellClasses(chart: Chart, row: number, column: number): string {
  const at = (r: number, c: number) => chart.rows[r]?.[c]?.inWindow ?? false;
  if (!at(row, column)) return '';
  const sides = [
    at(row, column - 1) ? '' : 'wl',
    at(row, column + 1) ? '' : 'wr',
    at(row - 1, column) ? '' : 'wt',
    at(row + 1, column) ? '' : 'wb',
  ];
  return ` class="${['w', ...sides].filter((side) => side !== '').join(' ')}"`;
}

function rowHtml(chart: Chart, row: number): string {
  const cells = chart.rows[row] ?? [];
  const body = cells
    .map((cell, column) => `<td${cellClasses(chart, row, column)}>${cell.volumes.toFixed(2)}</td>`)
    .join('');
  const fifth = (row + 1) % 5 === 0 ? ' class="fifth"' : '';
  return `<tr${fifth}><th scope="row">${degrees(chart.temperatures[row] ?? 0)}</th>${body}</tr>`;
}

/** The chart as one self-contained page that prints on one sheet, landscape. */
export function chartHtml(chart: Chart): string {
  const shown = SHOWN[chart.units];
  const columns = chart.pressures.map((pressure) => `<th scope="col">${pressure}</th>`).join('');
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Carbonation chart, ${altitudeText(chart)}</title>
<style>${STYLE}</style>
</head>
<body>
<header>
<h1>What the beer holds in the end</h1>
<p>For ${altitudeText(chart)}${chart.altitudeAssumed ? ' (sea level, assumed)' : ''}. Between the heavy rules: ${WINDOW_TEXT}, the usual window for filling bottles from the keg (common practice).</p>
</header>
<table>
<caption>Volumes of CO2 by beer temperature (${shown.temperature}, down) and gauge pressure (${shown.pressure}, across)</caption>
<thead><tr><th scope="col">${shown.temperature}</th>${columns}</tr></thead>
<tbody>
${chart.rows.map((_, row) => rowHtml(chart, row)).join('\n')}
</tbody>
</table>
<footer>
${CHART_NOTES.map((note) => `<p>${note}</p>`).join('\n')}
<p>1 volume is 1.977 g of CO2 per litre of beer. Formula: a Henry-type fit to the trade’s classic carbonation chart, with the air pressure of the U.S. Standard Atmosphere 1976.</p>
</footer>
</body>
</html>
`;
}
