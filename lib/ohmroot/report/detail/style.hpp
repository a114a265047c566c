// SPDX-License-Identifier: MIT
#pragma once

#include <string_view>

namespace ohmroot::report::detail {

/// Look of the page. Text at least 4.5:1, lines that carry meaning at least 3:1 against their ground;
/// nothing is told by colour alone. Screen and A4; on paper heads of tables and the banner repeat.
inline constexpr std::string_view style = R"(
:root { --ink: #1f2933; --quiet: #52606d; --line: #9aa5b1; --pale: #f3f5f7; --deep: #12436d; --plum: #801650; }
* { box-sizing: border-box; }
body { margin: 0; color: var(--ink); background: #ffffff;
       font: 16px/1.5 "Helvetica Neue", Arial, "Liberation Sans", "DejaVu Sans", sans-serif; }
.sheet { max-width: 60rem; margin: 0 auto; padding: 0 1.25rem 3rem; }
.banner { margin: 0; max-width: none; padding: 0.3rem 0.8rem; border: 2px dashed var(--plum); color: var(--plum); background: #ffffff;
          font-weight: 700; letter-spacing: 0.06em; text-align: center; }
h1, h2, h3, h4 { line-height: 1.25; break-after: avoid; }
h1 { font-size: 1.9rem; margin: 0.2rem 0 0.8rem; }
h2 { font-size: 1.35rem; margin: 2.2rem 0 0.6rem; padding-top: 0.5rem; border-top: 3px solid var(--deep); color: var(--deep); }
h3 { font-size: 1.08rem; margin: 1.4rem 0 0.4rem; }
h4 { font-size: 1rem; margin: 1rem 0 0.2rem; }
p, li { max-width: 46rem; }
p { margin: 0.5rem 0; }
.kind { color: var(--quiet); margin: 1.2rem 0 0; }
.contents { columns: 2; margin: 1rem 0; } .contents a { display: block; break-inside: avoid; }
a { color: var(--deep); }
ul, ol { margin: 0.4rem 0; padding-left: 1.4rem; }
li { margin: 0.2rem 0; break-inside: avoid; }
dl.facts { margin: 0.3rem 0 0.8rem; }
dl.facts div { display: grid; grid-template-columns: 13rem 1fr; column-gap: 1rem; padding: 0.15rem 0; break-inside: avoid; }
dt { color: var(--quiet); }
dd { margin: 0; }
.verdict { margin: 1.5rem 0; padding: 0.2rem 1.2rem 0.8rem; background: var(--pale); border: 4px solid var(--ink);
           break-inside: avoid; }
.verdict.not-feasible { border-style: double; border-width: 8px; }
.verdict.undecided { border-style: dashed; }
.verdict h2 { border: 0; margin: 0.6rem 0 0.2rem; padding: 0; font-size: 1.7rem; color: var(--ink); }
.headline { font-size: 1.15rem; font-weight: 600; }
.judged { font-weight: 600; }
.cautions { border-left: 8px solid var(--plum); padding-left: 1rem; }
.cautions h2 { border: 0; color: var(--plum); }
table { border-collapse: collapse; width: 100%; margin: 0.8rem 0 1.2rem; font-size: 0.9rem; }
caption { text-align: left; color: var(--quiet); padding-bottom: 0.3rem; break-after: avoid; }
th, td { text-align: left; vertical-align: top; padding: 0.3rem 0.5rem; border-bottom: 1px solid var(--line);
         font-weight: 400; overflow-wrap: break-word; }
thead th { font-weight: 700; border-bottom: 2px solid var(--ink); vertical-align: bottom; }
tr { break-inside: avoid; }
thead { display: table-header-group; break-inside: avoid; break-after: avoid; }
td.number, th.number[scope=row] { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
thead th.number { text-align: right; }
.formula { font-family: "DejaVu Sans Mono", "Liberation Mono", Consolas, monospace; font-size: 0.86em; overflow-wrap: anywhere; }
figure { margin: 1.4rem 0; break-inside: avoid; }
.picture svg { display: block; width: 100%; height: auto; }
.missing { border: 1px dashed var(--line); padding: 0.5rem 1rem; }
figcaption { max-width: 46rem; margin-top: 0.3rem; }
#sign-off td, #sign-off tbody th { height: 2.6rem; border: 1px solid var(--line); }
#sign-off { break-inside: avoid; }
@media screen { .running { position: sticky; top: 0; } }
@media screen and (max-width: 45rem) {
  table { display: block; overflow-x: auto; }
  dl.facts div { grid-template-columns: 8rem 1fr; }
  dd { overflow-wrap: anywhere; }
}
@media print {
  body { font-size: 9.5pt; line-height: 1.4; }
  .sheet { display: table; table-layout: fixed; width: 100%; max-width: none; padding: 0; }
  .running { display: table-header-group; break-inside: avoid; }
  .banner { margin-bottom: 4mm; font-size: 9pt; }
  main { display: table-row-group; }
  p, li, figcaption { max-width: none; }
  .picture { width: 158mm; margin: 0 auto; }
  figure { margin: 4mm 0; }
  table { font-size: 8pt; }
  h1 { font-size: 18pt; } h2 { font-size: 13pt; margin-top: 7mm; } h3 { font-size: 10.5pt; } h4 { font-size: 9.5pt; }
  .headline { font-size: 11pt; } .verdict h2 { font-size: 16pt; }
  dl.facts div { grid-template-columns: 45mm 1fr; }
  a { color: inherit; text-decoration: none; } .contents { columns: 3; }
}
)";

}  // namespace ohmroot::report::detail
