#include "report/palette.hpp"

namespace baywright::report {

const char* style_rules() {
  return R"css(
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0;background:var(--page);color:var(--ink);font:14px/1.45 system-ui,"Segoe UI","Noto Sans","DejaVu Sans",sans-serif;font-variant-numeric:tabular-nums}
main{max-width:1180px;margin:0 auto;padding:28px 32px 60px}
a{color:inherit;text-decoration-color:var(--edge);text-underline-offset:2px}
a:focus-visible,summary:focus-visible{outline:2px solid var(--undecided);outline-offset:2px}
h1{font-size:27px;line-height:1.15;margin:2px 0 0;font-weight:650;letter-spacing:-.01em}
h2{font-size:18px;line-height:1.2;margin:44px 0 10px;padding-top:9px;border-top:2px solid var(--ink);font-weight:650;break-after:avoid}
h2 .no{display:inline-block;min-width:1.5em;padding-right:.3em;color:var(--quiet);font-weight:400}
h3{font-size:14px;margin:22px 0 6px;font-weight:650;break-after:avoid}
p{margin:6px 0;max-width:88ch}
.lede{color:var(--quiet)}
small,.small{font-size:12px;line-height:1.35;color:var(--quiet)}
code,.id{font:12px/1.35 ui-monospace,"Cascadia Mono","DejaVu Sans Mono",monospace;color:var(--quiet)}
.id{white-space:nowrap}
ul,ol{margin:6px 0;padding-left:1.3em;max-width:96ch}
li{margin:2px 0}
.eyebrow{font-size:12px;color:var(--quiet);letter-spacing:.09em;text-transform:uppercase}

header{border:2px solid var(--ink);break-inside:avoid}
header .top{display:grid;grid-template-columns:1fr auto;gap:20px;padding:14px 18px 15px}
header .note{color:var(--quiet);margin:5px 0 0}
.stamp{align-self:center;border:2px solid;padding:7px 16px 8px;font-size:19px;font-weight:650;white-space:nowrap}
.stamp .sym{margin-right:.35em}
header .sentence{padding:10px 18px 11px;border-top:1px solid var(--ink);font-size:16px;font-weight:550;max-width:none;margin:0}
.counts{display:grid;grid-template-columns:repeat(5,1fr);border-top:1px solid var(--ink)}
.counts a{padding:8px 18px 9px;text-decoration:none;border-left:1px solid var(--rule)}
.counts a:first-child{border-left:0}
.counts b{font-size:23px;line-height:1.1;display:block;font-weight:650}
.counts .zero{color:var(--quiet)}
.facts{display:grid;grid-template-columns:repeat(3,1fr);margin:0;border-top:1px solid var(--ink);background:var(--panel);overflow:hidden}
.facts div{padding:6px 18px 7px;border-left:1px solid var(--rule);border-top:1px solid var(--rule);margin:-1px 0 0 -1px;overflow-wrap:anywhere}
.facts dt{font-size:11.5px;color:var(--quiet)}
.facts dd{margin:0;font-size:13px}
.callout{border-left:4px solid var(--undecided);background:var(--panel);padding:8px 14px 9px;margin:12px 0;break-inside:avoid}
.callout p{margin:2px 0;max-width:none}
nav{margin:12px 0 0;font-size:13px;color:var(--quiet);display:flex;flex-wrap:wrap;gap:2px 18px}

.met{color:var(--met)}.not_met{color:var(--not_met)}.undecided{color:var(--undecided)}.not_checked,.not_applicable{color:var(--not_checked)}
.sym{display:inline-block;min-width:1.05em;font-weight:700}
.verdict{white-space:nowrap;font-weight:600}

table{border-collapse:collapse;width:100%;margin:6px 0 14px;font-size:13px;line-height:1.38}
th,td{text-align:left;vertical-align:top;padding:4px 12px 4px 0;border-bottom:1px solid var(--rule)}
th{font-weight:600;font-size:12px;color:var(--quiet);border-bottom:1px solid var(--edge);vertical-align:bottom}
th:last-child,td:last-child{padding-right:0}
.n{text-align:right;white-space:nowrap}
td.n+td:not(.n),th.n+th:not(.n){padding-left:10px}
tr{break-inside:avoid}
thead{display:table-header-group}
tr.total td{font-weight:650;border-bottom:0;border-top:1px solid var(--edge)}
table.fit{width:auto}
.hash{font:11px/1.35 ui-monospace,"DejaVu Sans Mono",monospace;overflow-wrap:anywhere;color:var(--quiet)}
.scroll{overflow-x:auto}

.findings{margin-top:10px;table-layout:fixed}
.findings .c1{width:4.2%}.findings .c2{width:12.4%}.findings .c3{width:18.4%}.findings .c4{width:24.5%}.findings .c5{width:20%}.findings .c6{width:11%}.findings .c7{width:9.5%}
.findings td{overflow-wrap:anywhere}
.findings tbody{break-inside:avoid;border-bottom:1px solid var(--rule)}
.findings td{padding-top:5px;border-bottom:0}
.findings small{display:block}
.findings .group th{font-size:14px;padding:16px 0 4px;color:inherit;border-bottom:2px solid}
.findings .group small{display:inline;font-weight:400;margin-left:.8em}
.findings tbody.group{break-after:avoid}
.findings .more>td{padding:2px 0 12px}
.findings .hint td{padding-top:0}
.findings .val{font-weight:650;font-size:14px}
.findings .n small{display:block;white-space:normal}
.findings .part{display:inline-block}
.findings td.no{white-space:nowrap;overflow-wrap:normal;padding-right:4px;color:var(--quiet);font-size:12px;padding-top:7px}
.findings details{margin:0}
.findings summary{cursor:pointer;font-weight:600;list-style-position:outside}
.findings .more{display:none}
.findings tbody:has(details[open]) .more{display:table-row}
@supports not selector(:has(*)){.findings .more{display:table-row}}
.how{display:grid;grid-template-columns:repeat(2,minmax(0,1fr));gap:4px 36px;background:var(--panel);padding:9px 14px 11px;margin-left:0}
.how>.wide{grid-column:1/-1}
.how h4{margin:5px 0 1px;font-size:12px;color:var(--quiet);font-weight:600}
.how p,.how ul{margin:0;font-size:13px;max-width:none}
.how table{margin:2px 0 4px;font-size:12.5px}
.how td,.how th{padding-top:2px;padding-bottom:2px}
.hint .do{font-weight:600}

figure{margin:0;break-inside:avoid}
figure img{display:block;width:100%;height:auto;border:1px solid var(--rule);background:#fff}
figure .none{border:1px dashed var(--edge);background:var(--panel);padding:26px 18px;text-align:center;color:var(--quiet);min-height:120px;display:grid;place-content:center}
figcaption{font-size:12.5px;line-height:1.4;padding:6px 0 2px}
figcaption b{font-weight:650}
.views{display:grid;grid-template-columns:1fr 1fr;gap:16px 18px}
.views .wide{grid-column:1/-1}
.views.three{grid-template-columns:1fr 1fr 1fr;margin-top:16px}

svg{display:block;width:100%;height:auto;overflow:visible;margin:8px 0 4px}
svg text{font:12px system-ui,"Segoe UI","Noto Sans","DejaVu Sans",sans-serif;fill:var(--ink);font-variant-numeric:tabular-nums}
svg .q{fill:var(--quiet)}
svg .b{font-weight:650}
svg .e{text-anchor:end}
svg .m{text-anchor:middle}
svg .halo{paint-order:stroke;stroke:var(--page);stroke-width:4px;stroke-linejoin:round}
svg.clock{max-width:760px}
svg .open,svg .feel,svg .shut{fill:none}
svg .open{stroke:var(--met)}
svg .feel{stroke:var(--met);stroke-opacity:.45}
svg .shut{stroke:var(--rule)}
svg .hand{stroke:var(--ink);stroke-width:2.5}
svg .bar{fill:var(--bar)}
svg .bar_total{fill:var(--bar_total)}
svg .gauge{fill:none;stroke:var(--bar_total);stroke-width:1.5}
svg .step{stroke:var(--edge);stroke-width:1;fill:none}
svg .grid{stroke:var(--rule);stroke-width:1;fill:none}
svg .axis{stroke:var(--edge);stroke-width:1;fill:none}
svg .under{stroke:var(--page);stroke-width:4.5;fill:none}
svg .limit{stroke:var(--not_met);stroke-width:1.6;stroke-dasharray:5 3;fill:none}
svg .near{fill:var(--bar);fill-opacity:.45}
svg .room{stroke:var(--ink);stroke-width:1.3;fill:none}
svg .total_line{stroke:var(--ink);stroke-width:1.3;stroke-dasharray:5 3;fill:none}
svg .hover{fill:transparent}
svg .limit_text{fill:var(--not_met);font-weight:600}
svg .whisker{stroke:var(--ink);stroke-width:1.5;fill:none}
svg .p_fixed{fill:var(--panel);stroke:var(--ink)}
svg .p_engine{fill:var(--bar);stroke:var(--ink)}
svg .p_soft{fill:none;stroke:var(--soft);stroke-width:2}
svg .p_both{fill:none;stroke:var(--not_met);stroke-width:3}
svg .p_float{fill:none;stroke:var(--floating);stroke-width:2;stroke-dasharray:6 3}
svg .d_met circle{fill:var(--met)}svg .d_not_met circle{fill:var(--not_met)}svg .d_undecided circle{fill:var(--undecided)}
svg .d_met .whisker{stroke:var(--met)}svg .d_not_met .whisker{stroke:var(--not_met)}svg .d_undecided .whisker{stroke:var(--undecided)}

.pairs{table-layout:fixed}
.pairs th:nth-child(1){width:21%}.pairs th:nth-child(2),.pairs th:nth-child(4){width:10.5%}.pairs th:nth-child(3),.pairs th:nth-child(5){width:11%}.pairs th:nth-child(6){width:19%}.pairs th:nth-child(7){width:9%}.pairs th:nth-child(8){width:8%}
.pairs td{overflow-wrap:anywhere}
.pairs small{display:block}
.pairs a{text-decoration:none}

.parts{table-layout:fixed}.parts td,.parts th{overflow-wrap:anywhere}.parts th.n{white-space:normal}.parts small{display:block}
.parts th:nth-child(1){width:21%}.parts th:nth-child(2){width:9%}.parts th:nth-child(3){width:14%}.parts th:nth-child(4){width:19%}.parts th:nth-child(5){width:7%}.parts th:nth-child(6){width:9.5%}
.checks th:nth-child(1){width:21%}.checks th:nth-child(3){width:9%}.checks th:nth-child(4){width:22%}
.checks td:nth-child(2),.checks td:nth-child(4){font-size:12px;line-height:1.35}

.sign{break-inside:avoid}.sign td{height:44px;vertical-align:bottom}
.cautions{padding-left:2.4em}.cautions li{margin:5px 0}
p.piece{margin:10px 0 2px;break-after:avoid}.bends{break-inside:avoid}
.tubes{table-layout:fixed}.tubes .n{white-space:normal}.tubes td div+div{margin-top:2px}.tubes small,.joints small{display:block}
.tools td:nth-child(n+5){font-size:12px;line-height:1.35}
.ways{table-layout:fixed}.ways .moves{margin:0;padding-left:1.4em}
.ways th:nth-child(1){width:6%}.ways th:nth-child(2){width:20%}.ways th:nth-child(3){width:27%}.ways th:nth-child(4){width:34%}
.tubes th:nth-child(1){width:13%}.tubes th:nth-child(2){width:36%}.tubes th:nth-child(3){width:12%}.tubes th:nth-child(4){width:10%}
footer{margin-top:30px;border-top:1px solid var(--edge);padding-top:8px;font-size:12px;color:var(--quiet)}

@media screen and (max-width:760px){main{padding:14px}.views,.views.three,.how,.facts{grid-template-columns:1fr}.counts{grid-template-columns:repeat(2,1fr)}header .top{grid-template-columns:1fr}}
@media print{
@page{size:A4;margin:14mm 13mm 15mm;@bottom-right{content:counter(page) " / " counter(pages);font:8pt sans-serif}}
body{font-size:9.4pt;line-height:1.38}
main{max-width:none;padding:0}
nav{display:none}
h1{font-size:19pt}h2{font-size:13pt;margin-top:20pt}h3{font-size:10pt}
table{font-size:8.6pt}th,.facts dt{font-size:8pt}
small,.small,figcaption,.id,code{font-size:8pt}
.hash{font-size:6.6pt}
.clock{max-width:108mm}
.findings .val{font-size:9.4pt}
.findings .group th{font-size:10pt}
.findings tbody.open .more{display:table-row}
.findings tbody.open .how{display:block}
.findings tbody.open .how>*{break-inside:avoid}
.pairs .n,.pairs .n small{white-space:normal}
.pairs th:nth-child(1){width:19%}.pairs th:nth-child(3),.pairs th:nth-child(5){width:12%}.pairs th:nth-child(6){width:18%}.pairs th:nth-child(7),.pairs th:nth-child(8){width:9%}
.findings .c1{width:4.8%}.findings .c2{width:14.2%}.findings .c3{width:17.6%}.findings .c4{width:24.4%}.findings .c5{width:16.5%}.findings .c6{width:13%}.findings .c7{width:9.5%}
.findings tbody tr:has(+.hint),.findings tbody.open tr:has(+.more),.findings tbody.open .hint{break-after:avoid}
.findings td.no{font-size:7.8pt}
.clamp>h3,.clamp>p{break-after:avoid}
svg.clock{break-inside:avoid;break-before:avoid}
.findings .n small{white-space:normal}
.findings summary{list-style:none}
.how{gap:2px 18px;padding:5px 9px 6px}
.how .def{display:none}
.checks td:nth-child(2),.checks td:nth-child(4){font-size:7.8pt}
.how,.how p,.how ul,.how table{font-size:8.2pt}
header .sentence{font-size:11pt}
.counts b{font-size:15pt}
.counts a,.facts div,header .sentence{padding-left:10pt;padding-right:8pt}
header .top{padding:8pt 10pt}
.stamp{font-size:13pt}
a{text-decoration:none}
.scroll{overflow:visible}
*{print-color-adjust:exact;-webkit-print-color-adjust:exact}
}
)css";
}

}  // namespace baywright::report
