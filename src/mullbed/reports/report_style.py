"""The style sheet of the report: our tokens, from a phone to a desk to paper, with nothing loaded from outside."""

from __future__ import annotations

from mullbed.reports import pigments

STYLE = f"""
:root{{color-scheme:light}}
*{{box-sizing:border-box}}
html{{-webkit-text-size-adjust:100%}}
body{{margin:0;background:{pigments.KAOLIN};color:{pigments.INK};font:18px/1.38 {pigments.READING}}}
main,header,footer{{max-width:1180px;margin:0 auto;padding:0 20px}}
header{{padding-top:20px}}
h1,h2,h3,th,summary,.narrow,.row b{{font-family:{pigments.NARROW};font-weight:700}}
h1{{font-size:36px;line-height:1.06;margin:6px 0 10px}}
h2{{font-size:27px;line-height:1.12;margin:0 0 8px}}
h3{{font-size:21px;line-height:1.2;margin:22px 0 6px}}
p,li{{max-width:68ch;margin:0 0 10px}}
.top{{display:flex;justify-content:space-between;gap:12px;flex-wrap:wrap;font:700 19px/1.2 {pigments.NARROW}}}
section{{border-top:3px solid {pigments.INK};padding-top:16px;margin-top:30px}}
svg{{display:block;max-width:100%;height:auto}}
svg.defs{{position:absolute}}
svg.ribbon,svg.chart{{width:100%}}
.wide{{display:none}}
.row{{margin-bottom:14px}}
.row .head{{display:flex;justify-content:space-between;gap:10px;flex-wrap:wrap;font:400 18px/1.25 {pigments.NARROW}}}
.row .head b{{font-size:22px}}
.row .next{{font-weight:700}}
.plan{{padding:0;list-style:none;margin:0}}
.plan li{{border-top:1.4px solid {pigments.INK};padding:12px 0;max-width:none}}
.plan u{{text-underline-offset:4px;text-decoration-thickness:2px}}
table{{border-collapse:collapse;width:100%;font-size:18px}}
caption{{text-align:left;padding-bottom:6px}}
th,td{{text-align:left;vertical-align:top;padding:9px 10px 9px 0}}
thead th{{border-top:3px solid {pigments.INK}}}
tr{{border-bottom:1.4px solid {pigments.INK}}}
td.num{{font-variant-numeric:tabular-nums;white-space:nowrap}}
.k{{text-decoration:underline;text-underline-offset:5px;text-decoration-thickness:2px;text-decoration-skip-ink:none}}
.solid{{text-decoration-style:solid}}.double{{text-decoration-style:double}}
.dashed{{text-decoration-style:dashed}}.dotted{{text-decoration-style:dotted}}
.scroll{{overflow-x:auto}}
.scroll:focus{{outline:4px solid {pigments.INK};outline-offset:2px}}
details{{margin:8px 0 14px}}
summary{{min-height:44px;padding:10px 0;cursor:pointer;font-size:19px;
 text-decoration:underline;text-underline-offset:4px}}
summary:focus-visible,a:focus-visible{{outline:4px solid {pigments.INK};outline-offset:2px}}
a{{color:{pigments.INK};display:inline-block;min-height:44px;padding:9px 0}}
.dont{{display:grid;grid-template-columns:40px 1fr;gap:12px;align-items:center;font-weight:700;margin:14px 0}}
.dont b{{color:{pigments.SINOPIA}}}
.quiet{{color:{pigments.SLATE}}}
nav ul{{list-style:none;padding:0;margin:0;display:flex;flex-wrap:wrap;gap:0 22px}}
@media screen and (max-width:759px){{
 table.stack thead{{position:absolute;clip-path:inset(50%);width:1px;height:1px;overflow:hidden}}
 table.stack tr{{display:block;padding:10px 0}}
 table.stack th,table.stack td{{display:block;padding:2px 0;white-space:normal}}
 table.stack tbody th{{font-size:20px}}
 table.stack td[data-label]::before{{content:attr(data-label) ": ";font-weight:700;font-family:{pigments.NARROW}}}
 .top span:last-child{{font-weight:400}}
}}
@media screen and (min-width:760px),print{{
 .wide{{display:block}}.small{{display:none}}
 h1{{font-size:50px}}
 .lead{{font-size:21px}}
 .row{{display:grid;grid-template-columns:136px 1fr 232px;gap:0 18px;align-items:end;margin-bottom:6px}}
 .row .head{{display:contents}}
 .row .name{{grid-column:1;grid-row:1;padding-bottom:6px}}
 .row .pic{{grid-column:2;grid-row:1;min-width:0}}
 .row .next{{grid-column:3;grid-row:1;padding-bottom:6px}}
 .two{{display:grid;grid-template-columns:minmax(0,1fr) 470px;gap:30px;align-items:start}}
}}
@media print{{
 @page{{size:landscape;margin:12mm}}
 body{{background:#fff;font-size:14pt}}
 table,.row .head{{font-size:14pt}}
 main,header{{padding:0}}
 h1{{font-size:34pt}}
 h2,h3,caption{{break-after:avoid}}
 .row,.plan li,tr,svg,.dont{{break-inside:avoid}}
 section.bed{{break-before:page}}
 nav,details{{display:none}}
}}
@media (forced-colors:active){{svg path,svg rect{{forced-color-adjust:none}}}}
"""
