// Every colour can be set from outside: --saltwright-ink and its kin. The dark ones apply where the visitor prefers
// dark, unless the attribute theme says otherwise.
const colours = {
  ink: ["#1c2026", "#e6e7ea"], quiet: ["#545c66", "#abb2bc"], paper: ["#ffffff", "#1b1e24"], field: ["#fcfbf8", "#14161a"], line: ["#c9c9c2", "#3a3f48"],
  edge: ["#767c85", "#868d98"], accent: ["#4a3a8c", "#bdb0f5"], "on-accent": ["#ffffff", "#17132b"], bad: ["#9a1f2b", "#ff9c9c"], note: ["#6b4a00", "#ecc46f"],
};
const palette = (i) => Object.entries(colours).map(([name, pair]) => `--_${name}:var(--saltwright-${name},${pair[i]})`).join(";");

const text = `
:host{display:block;color-scheme:light;${palette(0)};
--_radius:var(--saltwright-radius,.5rem);--_gap:var(--saltwright-gap,1rem);
font:var(--saltwright-font,1rem/1.5 system-ui,-apple-system,"Segoe UI","Noto Sans",sans-serif);
background:var(--_paper);color:var(--_ink);border:1px solid var(--_line);border-radius:var(--_radius);padding:var(--_gap);overflow-wrap:break-word;text-align:start}
:host([hidden]){display:none}
@media(prefers-color-scheme:dark){:host(:not([theme="light"])){color-scheme:dark;${palette(1)}}}
:host([theme="dark"]){color-scheme:dark;${palette(1)}}
*,*::before,*::after{box-sizing:border-box}
[hidden]{display:none!important}
.title{font-size:1.2rem;line-height:1.25;margin:0}h3{font-size:1rem;margin:1rem 0 .3rem}
p{margin:.3rem 0}
.head{display:flex;flex-wrap:wrap;gap:.4rem 1rem;justify-content:space-between;align-items:start;margin-block-end:.6rem}
fieldset{border:0;margin:0;padding:0;min-width:0}
legend{padding:0;font-weight:600}
.units{display:flex;flex-wrap:wrap;gap:0 .9rem;align-items:center;font-size:.92rem}
.units legend{float:inline-start;color:var(--_quiet);font-weight:400;margin-inline-end:.2rem;line-height:1.75rem}
.units label{display:inline-flex;gap:.35rem;align-items:center;min-height:1.75rem;cursor:pointer}
input[type=radio],input[type=checkbox]{accent-color:var(--_accent);width:1.15rem;height:1.15rem;margin:0;flex:none}
.fields{display:grid;gap:0 var(--_gap);grid-template-columns:repeat(auto-fill,minmax(min(100%,11rem),1fr));margin-block:.4rem}
.field{display:grid;grid-template-rows:subgrid;grid-row:span 4;min-width:0;padding-block-end:.7rem}
.field>label{font-weight:600;margin-block-end:.15rem}
.unit,.hint,.quiet{color:var(--_quiet);font-weight:400}
.hint{font-size:.85rem}
input[type=text],input[type=time],select{font:inherit;color:inherit;background:var(--_field);border:1px solid var(--_edge);border-radius:.3rem;padding:.4rem .55rem;width:100%;min-height:2.5rem}
[aria-invalid=true]{border:2px solid var(--_bad)!important}
.error{color:var(--_bad);font-weight:600;font-size:.9rem}
.alert{border-inline-start:4px solid var(--_bad);padding-inline-start:.8rem}.alert:empty{display:none}
button{font:inherit;font-weight:600;min-height:2.5rem;padding:.4rem 1.1rem;border:1px solid var(--_accent);border-radius:.3rem;background:var(--_accent);color:var(--_on-accent);cursor:pointer}
button.plain{background:none;color:var(--_accent);font-weight:500}
button:hover{filter:brightness(1.1)}
button[aria-disabled=true],button:disabled{opacity:.6;cursor:default}
:focus-visible{outline:3px solid var(--_accent);outline-offset:2px}
.actions{display:flex;flex-wrap:wrap;gap:.6rem;align-items:center;margin-block:.6rem}
.gist{font-size:1.1rem;border-inline-start:4px solid var(--_accent);padding-inline-start:.8rem;margin-block:.8rem}.gist:empty{margin:0;border:0}
.figures{display:grid;gap:.6rem var(--_gap);grid-template-columns:repeat(auto-fill,minmax(min(100%,9rem),1fr));margin:.8rem 0}
dt{color:var(--_quiet);font-size:.88rem}dd{margin:0;font-weight:600;font-size:1.15rem;font-variant-numeric:tabular-nums}
ol{margin:.3rem 0;padding-inline-start:1.5rem}li{margin-block:.2rem}
.wide{overflow-x:auto;margin:.4rem -5px;padding:5px}
table{border-collapse:collapse;width:100%;font-size:.94rem}
caption{text-align:start;font-weight:600;padding-block:.3rem}
th,td{text-align:start;vertical-align:top;padding:.35rem .8rem .35rem 0;border-block-end:1px solid var(--_line)}
thead th{color:var(--_quiet);font-weight:600}tbody th{font-weight:500}
td{font-variant-numeric:tabular-nums}
ul{margin:.3rem 0;padding-inline-start:1.2rem}
.notes{border-inline-start:4px solid var(--_note);padding-inline-start:.8rem;margin-block:.7rem}
.caution{border:2px solid var(--_note);border-radius:.3rem;padding:.4rem .8rem;margin-block:.7rem}
details{border-block-start:1px solid var(--_line);margin-block-start:.8rem;padding-block-start:.3rem;font-size:.92rem}
summary{cursor:pointer;font-weight:600;min-height:1.75rem}
a{color:var(--_accent);display:inline-block;min-height:1.5rem}
svg{display:block;width:100%;height:auto;overflow:visible}
@media(forced-colors:active){button{border-width:2px}}
@media print{button,.units{display:none}}
`;

let sheet;

/** The sheets of a widget: the one all share, and its own. */
export function sheets(own) {
  if (!sheet) {
    sheet = new CSSStyleSheet();
    sheet.replaceSync(text);
  }
  if (!own) return [sheet];
  const more = new CSSStyleSheet();
  more.replaceSync(own);
  return [sheet, more];
}
