"""The style sheet of HTML reports: light and dark, from a phone's width on, and for a printer."""

from __future__ import annotations

NARROW_REM = 44  # below this width each row of a table is a card

STYLE = """
:root{color-scheme:light dark;--ink:#14171a;--soft:#4a525a;--paper:#ffffff;--field:#f2f4f6;
--line:#c3c9cf;--bad:#a3120a;--warn:#8a5200;--good:#14662b;--link:#0b4f9e;--trip:#dfe6ee;
--bar:#8b97a3}
@media (prefers-color-scheme:dark){:root{--ink:#e9ecef;--soft:#aeb6be;--paper:#101315;
--field:#1b2024;--line:#444c54;--bad:#ff9a8f;--warn:#f3bd6a;--good:#86d79b;--link:#9cc7ff;
--trip:#2b343d;--bar:#7d8894}}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0 auto;max-width:64rem;padding:1rem;background:var(--paper);color:var(--ink);
font:1rem/1.45 system-ui,sans-serif;overflow-wrap:anywhere}
h1{font-size:1.9rem;line-height:1.15;margin:0 0 .3rem}
h2{font-size:1.4rem;line-height:1.2;margin:2.2rem 0 .3rem;padding-top:.6rem;
border-top:3px solid var(--ink)}
h3{font-size:1.1rem;margin:1.4rem 0 .2rem}
p{margin:.3rem 0}
a{color:var(--link)}
.kind,.soft,.note,caption{color:var(--soft)}
td,dd,li{unicode-bidi:isolate}
dl{display:grid;grid-template-columns:auto 1fr;gap:.2rem 1rem;margin:.8rem 0}
dt{font-weight:700}
dd{margin:0}
.verdict{border:2px solid var(--ink);border-left-width:.8rem;border-radius:.3rem;
padding:.6rem .9rem;margin:1rem 0}
.verdict.bad{border-color:var(--bad)}
.verdict.warn{border-color:var(--warn)}
.verdict.good{border-color:var(--good)}
.verdict .word{font-size:1.4rem;font-weight:700}
.verdict ul{margin:.3rem 0;padding-left:1.2rem}
nav ol{padding-left:1.6rem}
nav li{padding:.25rem 0}
nav ol>li>a{font-weight:600}
nav ul{list-style:none;padding:0;margin:.2rem 0;display:flex;flex-wrap:wrap;gap:.1rem 1rem}
table{border-collapse:collapse;width:100%;margin:.4rem 0}
caption{text-align:left;font-size:.9rem}
th{text-align:left;vertical-align:bottom;font-size:.85rem;border-bottom:2px solid var(--ink);
padding:.3rem .5rem .2rem 0}
td{vertical-align:top;padding:.3rem .5rem .2rem 0}
tbody{border-bottom:1px solid var(--line)}
td:first-child{padding-left:.5rem}
th:first-child{padding-left:.5rem}
tbody.bad td:first-child{box-shadow:inset .3rem 0 var(--bad)}
tbody.warn td:first-child{box-shadow:inset .3rem 0 var(--warn)}
.bad .says{color:var(--bad);font-weight:700}
.warn .says{color:var(--warn);font-weight:600}
.good .says{color:var(--good)}
tbody.quiet{color:var(--soft)}
.right{text-align:right;white-space:nowrap}
.fixed{white-space:nowrap;padding-right:1rem}
th.right,td.right{padding-right:1rem}
.code{color:var(--soft);font-size:.8rem;font-variant-numeric:tabular-nums}
tr.more td{padding-top:0;font-size:.9rem;color:var(--soft)}
input{width:1.25rem;height:1.25rem;margin:0}
:target{outline:3px solid var(--link);outline-offset:2px}
.total{font-weight:700}
.cautions{border:2px solid var(--warn);border-radius:.3rem;padding:.4rem .9rem;margin:1rem 0}
.cautions h3{margin-top:.3rem}
.cautions ul{padding-left:1.2rem;margin:.3rem 0}
.bars{list-style:none;margin:0;padding:0}
.bars li{padding:.3rem 0;border-bottom:1px solid var(--line)}
.bars .end{float:right;padding-left:.6rem;font-size:.9rem}
.bars .bad{color:var(--bad);font-weight:700}
.bars .warn{color:var(--warn);font-weight:600}
svg{display:block;width:100%;height:.8rem;overflow:hidden;clear:both}
svg.axis{height:2.4rem;font-size:.75rem}
svg text{fill:var(--ink)}
svg .trip{fill:var(--trip)}
svg .lasts{fill:var(--bar)}
svg .ends{fill:var(--paper);stroke:var(--warn);stroke-width:2}
svg .gone{fill:var(--bad)}
svg .none{fill:none;stroke:var(--soft);stroke-width:2;stroke-dasharray:3 3}
svg line{stroke:var(--line)}
.top{font-size:.9rem}
footer{margin-top:2.5rem;border-top:1px solid var(--line);font-size:.9rem;color:var(--soft)}
@media (max-width:44rem){
table,tbody,tr,td{display:block;width:100%}
thead{position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)}
tbody{border:1px solid var(--line);border-radius:.3rem;margin:.5rem 0;padding:.35rem .6rem;
background:var(--field)}
tbody.bad{border-left:.4rem solid var(--bad)}
tbody.warn{border-left:.4rem solid var(--warn)}
tbody td:first-child,tbody td{padding:.1rem 0;box-shadow:none}
tbody.bad td:first-child,tbody.warn td:first-child{box-shadow:none}
td[data-head]{display:grid;grid-template-columns:6.6rem 1fr;gap:.5rem;text-align:left;
white-space:normal}
td[data-head]::before{content:attr(data-head);color:var(--soft);font-size:.9rem}
td.empty{display:none}
.bars .end{float:none;display:block;padding:0}
}
@media print{
:root{--ink:#000;--soft:#333;--paper:#fff;--field:#fff;--line:#999;--bad:#000;--warn:#000;
--good:#000;--link:#000;--trip:#ddd;--bar:#888}
body{max-width:none;padding:0;font-size:10pt}
h2,h3,thead{break-after:avoid}
tbody,.bars li,.verdict,.cautions li{break-inside:avoid}
nav,.top{display:none}
a{text-decoration:none}
@page{margin:15mm}
}
"""
