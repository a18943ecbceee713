"""The sheet's looks: colours for its pictures, and its one style sheet for screen, phone and paper."""

PAPER = "#fcfaf5"
INK = "#22303a"
FAINT = "#5d6a73"
HAIR = "#c9c5ba"
PLATE = "#f0ece1"
CUT_AWAY = "#dde3e2"
OTHER = "#e9e6dd"
CLAMP = "#7b8894"
DATUM = "#8a1f3d"
LEFT = "#00666b"
DEPTHS = ("#b98a24", "#a45f24", "#86402c", "#5f2a35", "#341836")
"""From the shallowest cuts to the deepest."""
LOADS = ("#b9c2b4", "#7fa394", "#3f7f86", "#2b4f7d", "#8a1f3d")
"""From an edge that is hardly engaged to one in a full slot."""

STYLE = r"""
:root { --paper: #fcfaf5; --ink: #22303a; --faint: #56636c; --hair: #c9c5ba; --tint: #f0ece1;
  --datum: #8a1f3d; --left: #00666b; --good: #2c5a3f; --warn: #7a4a00; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0 auto; padding: 1rem; max-width: 60rem; background: var(--paper); color: var(--ink);
  font: 1.0625rem/1.5 "Segoe UI", "Helvetica Neue", "Liberation Sans", Arial, sans-serif;
  font-variant-numeric: tabular-nums; overflow-wrap: break-word; }
h1, h2, h3, h4 { font-weight: 600; line-height: 1.2; margin: 0; }
h1 { font-size: 1.7rem; letter-spacing: -0.01em; }
h2 { font-size: 1.3rem; margin-top: 2.2rem; padding-bottom: 0.3rem; border-bottom: 2px solid var(--ink); }
h3 { font-size: 1.12rem; margin-top: 1.6rem; }
h4 { font-size: 1.03rem; }
p { margin: 0.5rem 0; }
a { color: inherit; }
code { font-family: ui-monospace, "Cascadia Mono", "DejaVu Sans Mono", Menlo, monospace; font-size: 0.92em; }
.kicker { color: var(--faint); font-size: 0.85rem; letter-spacing: 0.08em; text-transform: uppercase; margin: 0; }
.small { color: var(--faint); font-size: 0.9rem; }
.block { display: grid; grid-template-columns: repeat(auto-fit, minmax(9.5rem, 1fr)); margin: 1rem 0 0;
  border: 1px solid var(--ink); border-width: 1px 0 0 1px; }
@media (min-width: 45rem) { .block { grid-template-columns: repeat(4, 1fr); } }
.block > div { padding: 0.35rem 0.6rem 0.45rem; border: 1px solid var(--ink); border-width: 0 1px 1px 0; }
.block dt, .figures dt { color: var(--faint); font-size: 0.8rem; line-height: 1.3; }
.block dd, .figures dd { margin: 0; font-weight: 600; line-height: 1.3; }
.verdict { margin: 1rem 0; padding: 0.7rem 0.9rem; border: 2px solid var(--good); border-left-width: 10px; }
.verdict.failed { border-color: var(--datum); }
.verdict strong { display: block; font-size: 1.15rem; }
.scroll { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; margin: 0.6rem 0; }
th, td { text-align: left; vertical-align: baseline; padding: 0.35rem 0.7rem 0.35rem 0;
  border-bottom: 1px solid var(--hair); }
th { font-size: 0.85rem; font-weight: 600; color: var(--faint); border-bottom-color: var(--ink); }
td.n, th.n { text-align: right; white-space: nowrap; }
td.fill { min-width: 4.5rem; border-bottom: 1px solid var(--ink); }
figure { margin: 0.8rem 0; }
figure svg { display: block; width: 100%; height: auto; max-height: 34rem; background: #fff;
  border: 1px solid var(--hair); }
figcaption { color: var(--faint); font-size: 0.9rem; margin-top: 0.3rem; }
.operation { margin: 1.2rem 0; padding-top: 0.7rem; border-top: 1px solid var(--hair); display: grid;
  grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); column-gap: 1.5rem; }
.operation > h4, .operation > details { grid-column: 1 / -1; }
.operation > figure { margin-top: 0.5rem; }
.figures { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); gap: 0.45rem 1rem; margin: 0.6rem 0;
  align-content: start; }
.figures .wide { grid-column: 1 / -1; }
details { margin: 0.3rem 0; }
summary { cursor: pointer; padding: 0.4rem 0; font-weight: 600; }
details ul, .cautions, .findings { margin: 0.2rem 0 0.6rem; padding-left: 1.2rem; }
.cautions li, .findings li { margin: 0.35rem 0; }
.findings b { font-weight: 600; }
.unsafe b, .unmet b { color: var(--datum); }
.caution b { color: var(--warn); }
.order { padding-left: 1.6rem; }
.order li { margin: 0.5rem 0; }
.key { display: flex; flex-wrap: wrap; gap: 0.3rem 1.1rem; margin: 0.4rem 0 0; padding: 0; list-style: none;
  color: var(--faint); font-size: 0.9rem; }
.key i { display: inline-block; width: 1.5rem; height: 0; border-top: 4px solid; vertical-align: middle;
  margin-right: 0.4rem; }
.key .dash { border-top: 2px dashed #5d6a73; }
footer { margin-top: 2.5rem; padding-top: 0.6rem; border-top: 1px solid var(--hair); }
@media (max-width: 40rem) {
  .operation { display: block; }
  table.cards, .cards tbody, .cards tr, .cards td { display: block; width: 100%; }
  .cards thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .cards tr { padding: 0.45rem 0; border-bottom: 1px solid var(--hair); }
  .cards td, .cards td.n { display: inline-block; width: auto; max-width: 100%; border: 0; padding: 0 1rem 0 0;
    text-align: left; white-space: normal; }
  .cards td[data-label]::before { content: attr(data-label) "\00a0"; color: var(--faint); font-size: 0.88rem; }
  .cards td.lead { display: block; width: 100%; }
  .cards td:empty { display: none; }
  .cards td.lead { font-weight: 600; }
}
@media print {
  @page { size: A4; margin: 14mm 13mm 15mm; }
  html { font-size: 10pt; }
  body { padding: 0; max-width: none; background: #fff; font-size: 10pt; line-height: 1.38; }
  h1 { font-size: 17pt; } h2 { font-size: 13pt; margin-top: 7mm; } h3 { font-size: 11.5pt; } h4 { font-size: 10.5pt; }
  h2, h3, h4, h3 + p, summary, thead { break-after: avoid; }
  table, figure, .operation, .verdict, .block, .findings li, .cautions li, .order li { break-inside: avoid; }
  table.long { break-inside: auto; } tr { break-inside: avoid; }
  section.setting { break-before: page; }
  figure svg { max-height: 105mm; } .operation figure svg { max-height: 50mm; }
  .verdict { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
  .key i { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
  details > summary { list-style: none; padding: 0.2rem 0; }
  details ul { columns: 2; column-gap: 7mm; font-size: 7.5pt; line-height: 1.3; }
  details .small { font-size: inherit; }
  details::details-content { content-visibility: visible; block-size: auto; }
}
"""
