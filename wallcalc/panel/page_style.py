"""How the panel looks: one sheet of CSS; it follows the width of the panel, not that of the window."""

from __future__ import annotations

STYLE = """
<style>
.wallcalc-panel { background:#fbfaf6; color:#22303a; border:1px solid #d9dcd8; border-radius:6px; padding:10px 12px;
  --jp-widgets-label-color:#22303a; --jp-widgets-color:#22303a; --jp-widgets-input-color:#22303a;
  --jp-widgets-input-background-color:#ffffff; --jp-widgets-input-border-color:#7b8790;
  --jp-widgets-slider-handle-border-color:#1f4e79; --jp-widgets-slider-active-handle-color:#1f4e79;
  --jp-layout-color2:#e4e9ea; --jp-ui-font-color1:#22303a; }
.wallcalc-panel h2 { font-size:16px; margin:0 0 4px; color:#22303a; font-weight:600; }
.wallcalc-panel h3 { font-size:13px; margin:10px 0 4px; color:#1f4e79; font-weight:600; }
.wallcalc-panel .widget-html-content, .wallcalc-panel .jupyter-widgets-html-content { line-height:1.4; }
.wallcalc-panel .widget-html, .wallcalc-panel .jupyter-widget-html { height:auto; }
.wallcalc-panel *:focus-visible { outline:3px solid #7a21dd; outline-offset:1px; }
.wallcalc-picture { display:block; max-width:100%; height:auto; border:1px solid #e6e6e0; border-radius:4px; }
.wallcalc-long-picture img { max-width:none; }
.wallcalc-panel { container-type:inline-size; container-name:wallcalc; }
.wallcalc-panel .wallcalc-figures { display:flex; flex-wrap:wrap; gap:4px 10px; margin:0 0 4px; padding:0; }
.wallcalc-panel .wallcalc-figures dt, .wallcalc-panel .wallcalc-figures dd { float:none; clear:none; width:auto;
  margin:0; padding:0; font-weight:400; }
.wallcalc-figures > div { min-width:76px; }
.wallcalc-figures > div:first-child { min-width:112px; }
.wallcalc-figures > div:nth-child(5) { min-width:136px; }
.wallcalc-held { font-size:11px; color:#55636d; line-height:14px; min-height:14px; }
.wallcalc-side { width:min(262px, 100%); flex:0 0 auto; }
.wallcalc-status { min-height:26px; }
.wallcalc-stale img { opacity:0.42; }
.wallcalc-stale figcaption { color:#7a2530; }
.wallcalc-working { background:repeating-linear-gradient(135deg, #eef3fb 0 10px, #dde7f8 10px 20px); }
.wallcalc-changed { font-size:12.5px; padding:4px 8px; border-left:4px solid #964a8b; background:#f7eff5; margin:4px 0;
  min-height:54px; overflow-wrap:anywhere; }
.wallcalc-fold { border-top:1px solid #d9dcd8; padding:4px 0; }
.wallcalc-panel .jupyter-button.wallcalc-fold-head { background:none; border:none; text-align:left; font-weight:600;
  color:#1f4e79; font-size:13px; padding:0 4px; white-space:normal; height:auto; min-height:28px; line-height:1.3; }
.wallcalc-fold-head::before { content:"▸ "; content:"▸ " / ""; }
.wallcalc-fold-head.wallcalc-open::before { content:"▾ "; content:"▾ " / ""; }
.wallcalc-press.wallcalc-on::before { content:"✓ "; content:"✓ " / ""; }
.wallcalc-side .wallcalc-press { padding:0 4px; }
.wallcalc-panel .jupyter-button.wallcalc-fold-head:hover { background:#e4e9ea; box-shadow:none; }
.wallcalc-reasons { font-size:12px; margin:4px 0; padding-left:18px; max-width:544px; }
.wallcalc-note { font-size:12px; color:#55636d; margin:2px 0; max-width:1100px; }
.wallcalc-why { min-height:34px; line-height:17px; }
.wallcalc-cells .widget-text, .wallcalc-cells .widget-dropdown { flex-direction:column; align-items:stretch;
  height:auto; margin:1px 2px; }
.wallcalc-cells .widget-label { width:auto; max-width:none; text-align:left; font-size:11px; height:16px;
  line-height:16px; margin:0; color:#55636d; }
.wallcalc-cells .widget-text input, .wallcalc-cells .widget-dropdown select { width:100%; box-sizing:border-box;
  flex:0 0 28px; height:28px; margin:0; }
.wallcalc-heard { position:absolute; width:1px; height:1px; overflow:hidden; clip-path:inset(50%); white-space:nowrap; }
.wallcalc-panel .wallcalc-wrong input, .wallcalc-panel .wallcalc-wrong select { border:2px solid #c01b2c;
  background:#fdecec; }
.wallcalc-row-end { align-self:flex-end; }
.wallcalc-table td.best { font-weight:600; }
.wallcalc-table td.best::after { content:" ▲"; color:#1f4e79; }
.wallcalc-panel a.wallcalc-save { color:#1f4e79; text-decoration:underline; font-weight:600; }
.wallcalc-figures .name { font-size:11px; color:#55636d; line-height:1.3; }
.wallcalc-panel .wallcalc-figures .value { font-size:16px; font-weight:600; white-space:nowrap; line-height:1.3; }
.wallcalc-figures .change { font-size:11px; color:#55636d; line-height:1.3; white-space:nowrap; }
.wallcalc-message { padding:4px 8px; border-left:4px solid #4785f4; background:#eef3fb; margin:2px 0; font-size:12.5px;
  white-space:pre-line; overflow-wrap:anywhere; }
.wallcalc-message.caution { border-color:#d27700; background:#fdf3e2; }
.wallcalc-message.error { border-color:#d01a2e; background:#fdecec; }
.wallcalc-message.caution::before, .wallcalc-message.error::before { font-weight:700; }
.wallcalc-message.caution::before { content:"! "; content:"! " / "caution: "; }
.wallcalc-message.error::before { content:"✗ "; content:"✗ " / "error: "; }
.wallcalc-scroll { overflow:auto; max-width:100%; }
.wallcalc-panel table.wallcalc-table { border-collapse:collapse; font-size:12px; margin:2px 0; color:#22303a;
  font-variant-numeric:tabular-nums; }
.wallcalc-table caption { text-align:left; font-weight:600; color:#1f4e79; padding:2px 0 4px; caption-side:top; }
.wallcalc-table th { position:sticky; top:0; background:#e4e9ea; text-align:left; padding:3px 8px; font-weight:600;
  border-bottom:1px solid #7b8790; vertical-align:bottom; }
.wallcalc-table td { text-align:left; padding:2px 8px; border-bottom:1px solid #e6e6e0; vertical-align:top;
  white-space:nowrap; }
.wallcalc-table td.wallcalc-long { white-space:normal; min-width:100px; }
.wallcalc-panel .wallcalc-table .wallcalc-number { text-align:right; }
.wallcalc-table tr.current td { background:#e7effc; font-weight:600; }
.wallcalc-table tr.cannot td { color:#7a2530; }
.wallcalc-table tr.fail td { background:#fdecec; }
.wallcalc-table tr.caution td { background:#fdf3e2; }
.wallcalc-none-met { font-size:12.5px; line-height:1.4; max-width:80ch; border-left:4px solid #d27700; padding:2px 10px;
  margin:6px 0; background:#fdf8ee; }
.wallcalc-none-met p { margin:4px 0; }
.wallcalc-none-met ul { margin:2px 0; padding-left:18px; }
.wallcalc-key { font-size:12px; margin:4px 0 0; padding-left:24px; }
.wallcalc-exported { font-size:12px; border-left:4px solid #4785f4; padding:2px 8px; margin:4px 0;
  overflow-wrap:anywhere; }
.wallcalc-exported a { color:#1f4e79; text-decoration:underline; font-weight:600; font-size:13px; }
.wallcalc-exported ul { columns:170px; margin:2px 0 0; padding-left:18px; }
.wallcalc-panel code { font-size:11.5px; overflow-wrap:anywhere; background:none; color:#22303a; }
.wallcalc-cautions { border:1px solid #d27700; border-left-width:5px; background:#fdf8ee;
  padding:4px 12px; border-radius:4px;
  font-size:12.5px; }
.wallcalc-cautions p { margin:4px 0 6px; }
.wallcalc-panel .wallcalc-wide { width:auto; }
.wallcalc-panel .jupyter-button { background:#e4e9ea; color:#22303a; border:1px solid #7b8790; border-radius:4px; }
.wallcalc-panel .jupyter-button.wallcalc-on { background:#1f4e79; color:#ffffff; }
.wallcalc-panel .jupyter-button.wallcalc-act { background:#1f4e79; color:#ffffff; }
.wallcalc-panel progress { width:110px; accent-color:#1f4e79; vertical-align:middle; }
.wallcalc-panel .wallcalc-below { display:none; }
@container wallcalc (max-width: 780px) {
  .wallcalc-panel .wallcalc-beside { display:none; }
  .wallcalc-panel .wallcalc-below { display:block; }
  .wallcalc-held { font-size:11px; color:#55636d; line-height:14px; min-height:14px; }
.wallcalc-side { width:100%; }
}
@container wallcalc (max-width: 520px) {
  .wallcalc-pictures-scroll { overflow-x:auto; }
  .wallcalc-pictures-scroll img { max-width:none; }
}
</style>
"""
