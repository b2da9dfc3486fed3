/** The curve of a replay as one self-contained page: ink on paper, labels beside what they name, colour only for "someone". */
import type { ReplayWindow } from '../app/replay.ts';
import type { EventEntry, ReplayLine } from '../contract/index.ts';
import { drawCurve } from './replay-curve.ts';

export interface PageContent {
  readonly kegId: string;
  readonly lines: readonly ReplayLine[];
  readonly windows: readonly ReplayWindow[];
  readonly entries: readonly EventEntry[];
}

const HOUR_MS = 3600_000;
/** Rows of the table: one each six hours is enough to read, the lines hold the rest. */
const ROW_MS = 6 * HOUR_MS;

const STYLE = `
:root { color-scheme: light; --ground: #f3f4f2; --window: #e7e8e6; --text: #101112; --soft: #55595b; --rule: #c4c7c6; --band: #10111226; --act: #b3290f; --unknown: #2a4fb0; --wait: #3f4244 }
@media (prefers-color-scheme: dark) { :root { color-scheme: dark; --ground: #141515; --window: #232526; --text: #f7f8f6; --soft: #aeb2b0; --rule: #3a3d3e; --band: #ffffff2b; --act: #ff9676; --unknown: #9dbbff; --wait: #b4b8b6 } }
html { background: var(--ground); color: var(--text); font: 17px/1.45 Seravek, "Segoe UI", "Noto Sans", Roboto, "DejaVu Sans", sans-serif; font-variant-numeric: tabular-nums lining-nums }
body { margin: 0 auto; max-width: 1200px; padding: 24px clamp(20px, 3.2vw, 44px) 48px }
h1, h2 { font-family: "Iowan Old Style", "Palatino Linotype", Palatino, "Noto Serif", "DejaVu Serif", serif; font-weight: 700; line-height: 1.1; margin: 0 0 8px }
h1 { font-size: 34px } h2 { font-size: 23px; border-top: 2px solid; padding-top: 12px; margin-top: 32px }
p { margin: 0 0 12px; max-width: 40em } .note { font-size: 15px; color: var(--soft) }
svg { display: block; width: 100%; height: auto; overflow: visible } svg text { font: 14px Seravek, "Segoe UI", "Noto Sans", Roboto, sans-serif; fill: var(--soft) }
svg .strong { fill: var(--text); font-weight: 700 } svg .halo { paint-order: stroke; stroke: var(--ground); stroke-width: 5px; stroke-linejoin: round }
.window { fill: var(--window) } .upright { stroke: var(--text); stroke-width: 1.5 } .band { fill: var(--band) }
.line { fill: none; stroke: var(--text); stroke-width: 3; stroke-linejoin: round } .end { fill: none; stroke: var(--soft); stroke-width: 1.2 }
.axis { stroke: var(--rule) } .flag { stroke: var(--soft) }
.ready { color: var(--text) } .wait { color: var(--wait) } .act { color: var(--act) } .unknown { color: var(--unknown) }
svg .word { fill: currentColor; font-weight: 700 }
.scroll { overflow-x: auto } table { border-collapse: collapse; border-top: 2px solid; margin-top: 8px } th, td { padding: 4px 14px 4px 0; text-align: right; border-bottom: 1px solid var(--rule); font-weight: 400; white-space: nowrap }
th:first-child, td:first-child, td:last-child, th:last-child { text-align: left } thead th { font-weight: 700 }
summary { cursor: pointer; min-height: 48px; line-height: 48px }
`;

/** The whole page. */
export function replayPage(content: PageContent): string {
  const { kegId, lines } = content;
  const title = `What was in the keg ${kegId}`;
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeText(title)}</title>
<style>${STYLE}</style>
</head>
<body>
<h1>${escapeText(title)}</h1>
<p>${escapeText(sentence(lines))}</p>
${lines.length === 0 ? '' : drawCurve(content)}
<p class="note">Thick line: what is in the beer, with the range in which it lies nine times in ten. Thin line: what it would hold in the end at the temperature and pressure of the moment. Between the two rules: the window. Volumes are what a printed chart would say. All times UTC; nothing later bears on any of it.</p>
<p class="note">An estimate is no gauge: stay within the stamp on the keg and the regulator, and ventilate rooms where CO2 can collect.</p>
${eventList(content.entries)}
${table(lines)}
</body>
</html>
`;
}

/** Text that may stand in a page. */
function escapeText(text: string): string {
  const names: Readonly<Record<string, string>> = {
    '&': '&amp;',
    '<': '&lt;',
    '>': '&gt;',
    '"': '&quot;',
    "'": '&#39;',
  };
  return text.replace(/[&<>"']/g, (sign) => names[sign] ?? sign);
}

/** "2026-01-12 17:00". */
function timeText(instant: string): string {
  return new Date(instant).toISOString().slice(0, 16).replace('T', ' ');
}

const VERDICT_WORDS: Readonly<Record<ReplayLine['verdict'], string>> = {
  ready: 'Ready',
  wait: 'Waiting',
  act: 'Needs you',
  unknown: 'Can’t tell',
};

function sentence(lines: readonly ReplayLine[]): string {
  const last = lines.at(-1);
  if (last === undefined) return 'Nothing was heard of this keg after it was filled.';
  const heading =
    last.equilibriumVolumes === null
      ? 'Where it is heading cannot be told: a probe is silent.'
      : `It is heading for ${figures(last.equilibriumVolumes, 2)}.`;
  return `At ${timeText(last.t)} there were ${figures(last.dissolvedVolumes, 2)} volumes in the beer, nine times in ten ${figures(last.low, 2)} to ${figures(last.high, 2)}. ${heading}`;
}

function figures(value: number | null, digits: number): string {
  return value === null ? '–' : value.toFixed(digits).replace('-', '−');
}

function eventList(entries: readonly EventEntry[]): string {
  const rows = entries
    .toSorted((a, b) => Date.parse(a.at) - Date.parse(b.at))
    .map(({ at, kind, place: _place, supply: _supply, ...rest }) => {
      const details = Object.entries(rest).map(([name, value]) => `${name} ${String(value)}`);
      return `<tr><td>${timeText(at)}</td><td>${escapeText([kind.replaceAll('-', ' '), ...details].join(', '))}</td></tr>`;
    });
  return `<h2>What was done</h2>
<div class="scroll"><table><thead><tr><th scope="col">When</th><th scope="col">What</th></tr></thead><tbody>${rows.join('\n')}</tbody></table></div>`;
}

function table(lines: readonly ReplayLine[]): string {
  const rows = lines
    .filter(({ t }, index) => Date.parse(t) % ROW_MS === 0 || index === lines.length - 1)
    .map((line) => {
      const cells = [
        timeText(line.t),
        figures(line.dissolvedVolumes, 2),
        `${figures(line.low, 2)} to ${figures(line.high, 2)}`,
        figures(line.equilibriumVolumes, 2),
        figures(line.beerC, 1),
        line.gas,
        VERDICT_WORDS[line.verdict],
      ];
      return `<tr>${cells.map((cell) => `<td>${escapeText(cell)}</td>`).join('')}</tr>`;
    });
  const heads = ['When', 'In the beer', 'Nine times in ten', 'In the end', 'Beer °C', 'Gas', 'Verdict'];
  return `<details><summary>The curve as a table</summary>
<div class="scroll"><table><thead><tr>${heads.map((head) => `<th scope="col">${head}</th>`).join('')}</tr></thead>
<tbody>${rows.join('\n')}</tbody></table></div></details>`;
}
