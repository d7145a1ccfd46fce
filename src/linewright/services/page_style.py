"""The style of the page: tokens of both themes, type, tables, bars, print."""

from __future__ import annotations

LIGHT = {
    "paper": "#fbfaf7", "ink": "#17191d", "ink2": "#474c54", "ink3": "#656b73", "rule": "#84888c", "hair": "#dcdad3",
    "zone": "#f1efe9", "accent": "#3a3d9e", "caution": "#7d4700",
}  # fmt: skip
DARK = {
    "paper": "#14161a", "ink": "#ece9e2", "ink2": "#b9bbbb", "ink3": "#969a9d", "rule": "#74797f", "hair": "#33373d",
    "zone": "#1c1f24", "accent": "#b0b4ff", "caution": "#f0b860",
}  # fmt: skip
RULES = """
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:400 14px/20px "lw-sans",system-ui,sans-serif;
 font-variant-numeric:tabular-nums lining-nums}
main,footer{max-width:1160px;margin:0 auto;padding:0 20px}
main{padding-top:20px}
.what{margin:0 0 8px;color:var(--ink2);font-size:13px;line-height:17px}
h1{font:400 23px/31px "lw-serif",Georgia,serif;margin:0 0 12px;max-width:60em}
h1 b{font-weight:600}
h2{font:600 20px/26px "lw-serif",Georgia,serif;margin:26px 0 8px}
p{margin:0 0 8px}
.small,caption,figcaption{font-size:13px;line-height:17px;color:var(--ink2)}
.old{color:var(--caution);font-weight:600}
.two{display:grid;grid-template-columns:270px minmax(0,1fr);gap:26px;align-items:start}
.half{display:grid;grid-template-columns:minmax(0,1fr) minmax(0,1fr);gap:0 26px;align-items:start}
.two>section>h2,.two>div>section:first-child>h2{margin-top:0}
figure{margin:0}
.line{max-width:100%;height:auto}
svg text{font:400 13px/17px "lw-sans",system-ui,sans-serif;fill:var(--ink)}
svg .dim{fill:var(--ink2)}
svg .name,svg .figure{font-weight:600}
svg .tie{stroke:var(--rule)}
svg .edge{stroke:var(--ink);stroke-width:1.6}
table{border-collapse:collapse;width:100%}
caption{text-align:left;padding-bottom:4px}
caption b{color:var(--ink);font-weight:600}
th,td{text-align:left;font-weight:400;padding:3px 12px 3px 0;border-bottom:1px solid var(--hair);
 vertical-align:baseline}
thead th{font-size:13px;color:var(--ink2);border-bottom:1px solid var(--rule)}
td.n,th.n{text-align:right;white-space:nowrap}
td b,th b,dd b{font-weight:600}
tr.ours th,tr.ours td{background:var(--zone)}
.measured{text-decoration:underline solid 1px;text-underline-offset:3px}
.read{text-decoration:underline dashed 1px;text-underline-offset:3px}
.estimate{text-decoration:underline dotted 1.5px;text-underline-offset:3px}
dl{margin:0}
dl div{display:grid;grid-template-columns:150px 1fr;gap:12px;padding:3px 0;border-bottom:1px solid var(--hair)}
dt{color:var(--ink2)}
dd{margin:0}
.caution{color:var(--caution)}
.mark{display:inline-block;width:16px;height:16px;line-height:15px;text-align:center;border:1px solid var(--caution);
 border-radius:2px;font-weight:600;font-size:13px;margin-right:6px;color:var(--caution)}
.duty{margin-bottom:12px}
.duty tbody th{min-width:130px}
ul{list-style:none;margin:0;padding:0}
li{padding:3px 0}
.bar{position:relative;height:20px;min-width:120px}
.bar i{position:absolute;top:6px;height:8px;background:var(--ink2);print-color-adjust:exact;
 -webkit-print-color-adjust:exact}
.bar i.ours{background:var(--accent)}
.bar i.down{background:none;border:1px solid var(--ink2)}
.bar i.dot{top:4px;width:12px;height:12px;margin-left:-6px;border-radius:50%;background:var(--paper);
 border:2px solid var(--ink)}
.bar i.grid{top:0;height:20px;width:1px;background:var(--hair)}
.axis td,.axis th{border-bottom:0;color:var(--ink2);font-size:13px}
.axis .bar span{position:absolute;transform:translateX(-50%)}
.axis .bar span:first-child{transform:none}
.axis .bar span:last-child{transform:translateX(-100%)}
td.wide{width:45%}
.bars th,.bars td{vertical-align:middle}
.bars thead th{white-space:nowrap}
.bars td:last-child{white-space:nowrap;padding-right:0}
.scale{height:12px;border:1px solid var(--ink);position:relative;margin:8px 0 2px;print-color-adjust:exact;
 -webkit-print-color-adjust:exact}
.scale i{position:absolute;top:-4px;height:18px;border-left:2px dotted var(--ink)}
.ends{display:flex;justify-content:space-between}
.columns{columns:2;column-gap:26px}
.columns li{break-inside:avoid}
footer{border-top:1px solid var(--rule);margin-top:26px;padding-top:8px;padding-bottom:26px}
.digest{overflow-wrap:anywhere}
@media (max-width:1000px){.half{grid-template-columns:1fr}}
@media (max-width:700px){
 main,footer{padding-left:14px;padding-right:14px}
 h1{font-size:20px;line-height:27px}
 .two{grid-template-columns:minmax(0,1fr)}
 .two>section{order:2}
 .two>section>h2{margin-top:6px}
 .columns{columns:1}
 dl div{grid-template-columns:1fr;gap:0}
 .answers thead{position:absolute;left:-9999px}
 .answers tr{display:grid;grid-template-columns:repeat(4,auto);border-bottom:1px solid var(--hair);padding:4px 0}
 .answers th,.answers td{border:0}
 .answers tbody th,.answers td.long{grid-column:1/-1;padding-left:6px}
 .answers td.n{text-align:left;padding-left:6px}
 .answers td.n::before{content:attr(data-name) " ";color:var(--ink2);font-size:13px}
}
@media print{
 body{zoom:.8;background:none}
 .two{grid-template-columns:270px minmax(0,1fr)}
 .half{grid-template-columns:1fr}
 main,footer{max-width:none;padding:0}
 h2,h2+p,caption,thead{break-after:avoid}
 tr,li,dl div,figure,.bars{break-inside:avoid}
}
@page{margin:12mm}
"""


def style() -> str:
    """The whole style sheet; dark follows the reader's system, print is always light."""
    dark = f"@media screen and (prefers-color-scheme:dark){{:root{{color-scheme:dark;{_tokens(DARK)}}}}}"
    return f":root{{color-scheme:light;{_tokens(LIGHT)}}}{dark}{RULES}"


def _tokens(theme: dict[str, str]) -> str:
    return "".join(f"--{name}:{value};" for name, value in theme.items())
