/** How the record looks in a file of its own: on a phone in one column, on A4 or Letter on one page. */
export const recordPageStyle = `
:root { color-scheme: light; --ink: #26282b; --soft: #54575c; --line: #c8c5bb; --warn: #963a00; }
* { box-sizing: border-box; }
body { margin: 0; background: #f7f6f2; color: var(--ink); font: 1rem/1.45 system-ui, -apple-system, "Segoe UI", Roboto, sans-serif; font-variant-numeric: tabular-nums; overflow-wrap: anywhere; }
main { max-width: 60rem; margin: 0 auto; padding: 1rem; }
main > * { margin: 0 0 0.9rem; }
h1 { margin: 0; font-size: 1.5rem; line-height: 1.2; }
p { margin: 0; }
h2 { margin: 0; font-size: 1.2rem; line-height: 1.2; }
section { padding-top: 0.6rem; border-top: 1px solid var(--line); }
section > * + * { margin-top: 0.5rem; }
.verdict { padding: 0.6rem 0.9rem; border: 2px solid var(--ink); border-left-width: 8px; border-radius: 6px; font-size: 1.25rem; font-weight: 700; }
.fix { border-color: var(--warn); }
.reshoot { border-style: dashed; border-left-style: solid; }
.warning { color: var(--warn); font-weight: 600; }
dl { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 15rem), 1fr)); gap: 0.4rem 1.2rem; }
dt, .small { color: var(--soft); font-size: 0.85rem; }
dd { margin: 0; }
.table { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; font-size: 0.9rem; }
th, td { padding: 0.35rem 0.7rem 0.35rem 0; text-align: left; vertical-align: top; border-bottom: 1px solid var(--line); white-space: nowrap; overflow-wrap: normal; }
td:last-child { white-space: normal; min-width: 7rem; }
ul { padding-left: 1.2rem; }
.ribbon { display: block; width: 100%; height: 90px; border: 1px solid var(--line); }
.pictures { display: grid; grid-template-columns: repeat(auto-fill, minmax(6rem, 1fr)); gap: 0.5rem; }
figure { margin: 0; }
figure svg { display: block; width: 100%; border: 1px solid var(--line); border-radius: 6px; }
figcaption { font-weight: 700; }
.rim, .under { fill: none; stroke: #ffe14d; stroke-width: 1.5; }
.under { stroke: #000; stroke-width: 3.5; opacity: 0.6; }
.sought { stroke-dasharray: 2 5; stroke-linecap: round; }
.signature { display: grid; grid-template-columns: 2fr 1fr; gap: 2rem; break-inside: avoid; }
.signature p { margin-top: 3.2rem; padding-top: 0.3rem; border-top: 1.5px solid var(--ink); }
@page { margin: 12mm; }
@media print {
  body { background: #fff; font-size: 10pt; }
  main { max-width: none; padding: 0; }
  main > * { margin-bottom: 2.5mm; }
  h1 { font-size: 15pt; }
  h2 { font-size: 12pt; break-after: avoid; }
  .verdict { font-size: 14pt; print-color-adjust: exact; -webkit-print-color-adjust: exact; }
  dl { grid-template-columns: repeat(3, 1fr); gap: 1mm 5mm; }
  dt, .small { font-size: 8pt; }
  .table { overflow: visible; }
  table { font-size: 9pt; }
  th, td { padding: 0.8mm 3mm 0.8mm 0; }
  tr, figure { break-inside: avoid; }
  .ribbon { height: 16mm; }
  .pictures { grid-template-columns: repeat(9, 1fr); gap: 2mm; font-size: 8pt; }
  .signature p { margin-top: 10mm; }
}
`;
