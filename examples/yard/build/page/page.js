"use strict";
(() => {
const $ = (id) => document.getElementById(id);
const KEY = "steelyard.yard.1";
const began = performance.now();
performance.mark("script");

// el makes an element: properties, then children. Texts become text nodes and never markup.
function el(name, props, ...children) {
  const e = document.createElement(name);
  for (const [k, v] of Object.entries(props || {})) {
    if (v === undefined || v === null || v === false) continue;
    if (k === "on") for (const [event, f] of Object.entries(v)) e.addEventListener(event, f);
    else if (k === "class") e.className = v;
    else if (k in e && k !== "list" && k !== "for" && k !== "form" && !k.startsWith("aria")) e[k] = v;
    else e.setAttribute(k === "for" ? "for" : k, v === true ? "" : v);
  }
  for (const c of children.flat(9)) if (c !== null && c !== undefined && c !== false) e.append(c);
  return e;
}
// picture takes a drawing of the library into the page.
function picture(svg) {
  const d = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
  return d.nodeName === "svg" ? document.importNode(d, true) : null;
}

// State: what is kept on the device.
const S = { doc: null, job: null, compare: null, ground: {}, misread: {}, ahead: "", tire: { fluid: "calciumChloride", clock: "12", count: 2 }, language: "en", system: "metric", open: [] };
let start, W = {}, fields = {}, undo = [], before = null, last = null, kept = true, stash = {}, token = 0;
const T = (code, pairs) => {
  let s = W["y." + code] || code;
  for (const [k, v] of Object.entries(pairs || {})) s = s.replaceAll("{" + k + "}", v);
  return s;
};
const ask = (what, more) => {
  const out = JSON.parse(steelyard(JSON.stringify({ ask: what, language: S.language, system: S.system, ...more })));
  if (out.failure) throw new Error(out.failure);
  return out;
};

// Paths of the document, such as setup.pieces[0].mass.
const keys = (path) => path.replaceAll("]", "").split(/[.[]/);
function get(path) {
  let v = S.doc;
  for (const k of keys(path)) { if (v === undefined || v === null) return undefined; v = v[k]; }
  return v;
}
function set(path, value) {
  const list = keys(path), end = list.pop();
  let v = S.doc;
  list.forEach((k, i) => {
    if (v[k] === undefined) {
      if (value === undefined) { v = {}; return; }
      v[k] = /^\d+$/.test(list[i + 1] ?? end) ? [] : {};
    }
    v = v[k];
  });
  if (value === undefined) { if (Array.isArray(v)) v.splice(+end, 1); else delete v[end]; }
  else v[end] = value;
}
const basic = new Set(["", "setup", "setup.machine", "setup.loader", "setup.attachment", "lifts", "lifts.0"]);
// pruned is a copy without empty objects and lists, and without rows and marks that are not finished.
function pruned(doc) {
  const unfinished = [];
  const copy = structuredClone(doc);
  const rows = (o, key, needs) => {
    if (!o || !Array.isArray(o[key])) return;
    o[key] = o[key].filter((r) => { const ok = r && needs.every((n) => r[n]); if (!ok && r && Object.keys(r).length) unfinished.push(title("setup.loader.rated")); return ok; });
    o[key].sort((a, b) => parseFloat(a[needs[0]]) - parseFloat(b[needs[0]]));
  };
  const s = copy.setup;
  rows(s.loader, "rated", ["pinHeight", "atPin"]);
  if (s.machine.mass && !s.machine.frontLoad !== !s.machine.rearLoad) {
    const [has, lacks] = s.machine.frontLoad ? ["frontLoad", "rearLoad"] : ["rearLoad", "frontLoad"];
    unfinished.push(title("setup.machine." + lacks));
    delete s.machine[has];
  }
  for (const axle of ["front", "rear"]) {
    const t = s.machine[axle] && s.machine[axle].tire;
    if (!t) continue;
    rows(t, "table", ["pressure", "load"]);
    if (!t.loadIndex !== !t.speedSymbol) {
      unfinished.push(T(axle) + ": " + title("setup.machine." + axle + ".tire." + (t.loadIndex ? "speedSymbol" : "loadIndex")));
      delete t.loadIndex; delete t.speedSymbol;
    }
  }
  if (s.loader && s.loader.cylinders && !("bore" in s.loader.cylinders && "base" in s.loader.cylinders && "rodRadius" in s.loader.cylinders && "rodAngle" in s.loader.cylinders && "count" in s.loader.cylinders && "pressure" in s.loader.cylinders)) {
    if (Object.keys(s.loader.cylinders).length) unfinished.push(T("cylinders"));
    delete s.loader.cylinders;
  }
  if (s.loader && s.loader.cylinders && s.loader.rated && s.loader.rated.length) delete s.loader.cylinders;
  const clean = (o, at) => {
    for (const [k, v] of Object.entries(o)) {
      if (v === null || typeof v !== "object") continue;
      const path = at ? at + "." + k : k;
      clean(v, path);
      if (!basic.has(path) && !(v.low || v.high) && Object.keys(v).length === 0) { if (Array.isArray(o)) o[k] = null; else delete o[k]; }
    }
    if (Array.isArray(o)) { const keep = o.filter((x) => x !== null); o.length = 0; o.push(...keep); }
  };
  clean(copy, "");
  pruned.unfinished = unfinished;
  return copy;
}
const norm = (path) => path.replace(/\[\d+\]/g, "[]");
const field = (path) => fields[norm(path)];
const title = (path) => (field(path) ? field(path).label : path);

function store() {
  try { localStorage.setItem(KEY, JSON.stringify(S)); kept = true; } catch { kept = false; }
  if ($("kept")) $("kept").textContent = kept ? T("kept") : T("notkept");
}

// change does something to the document, and shows what it did to the answer.
function change(f, rebuild, quiet) {
  const old = structuredClone(S.doc), ground = quiet ? structuredClone(S.ground) : null, { job, compare } = S;
  f();
  if (JSON.stringify(old) === JSON.stringify(S.doc)) return;
  undo.push({ doc: old, ground, job, compare });
  if (undo.length > 50) undo.shift();
  before = quiet ? null : pruned(old);
  if (rebuild) build();
  update();
}

// Fields.
let serial = 0;
// unclear holds for a number such as 1,200 where the decimal sign is a point, or 1.200 where it is a
// comma: whoever typed it may mean a thousand or a little more than one. It is never guessed: the
// document keeps it with a question mark, which the library refuses.
const unclear = (t) => (S.language === "de" ? /^-?[1-9]\d{0,2}\.\d{3}$/ : /^-?[1-9]\d{0,2},\d{3}$/).test(t);
const unclearText = (t) => { const [a, b] = t.split(/[.,]/); return T("unclear", { text: t, whole: a + b, part: a + (S.language === "de" ? "," : ".") + b }); };
const num = (text) => text.trim().replaceAll(" ", "").replaceAll("\u202f", "").replace("\u2212", "-");
// entered turns what was typed into the text of a document, in the unit beside the field.
function entered(f, typed) {
  let t = num(typed);
  if (t === "") return undefined;
  if (unclear(t)) return t + " ?";
  if (S.language === "de" && t.includes(",")) t = t.replace(",", ".");
  else if (/^-?\d+,\d+$/.test(t)) t = t.replace(",", ".");
  if (!/^-?(\d+\.?\d*|\.\d+)$/.test(t)) t = typed.trim(); // let the library say what is wrong, or read a unit
  else if (f.unit) t += " " + f.unit;
  return t;
}
function wrap(path, label, control, more) {
  const f = field(path) || {};
  const id = control.querySelector("input,select").id;
  const err = el("p", { class: "err", id: id + "-e", hidden: true });
  const tip = el("div", { class: "tip", id: id + "-t", hidden: true }, f.help ? el("p", {}, f.help) : null, f.how ? el("p", {}, f.how) : null, f.range ? el("p", {}, f.range) : null);
  const help = f.help ? el("button", { type: "button", class: "help", "aria-expanded": "false", "aria-controls": id + "-t", "aria-label": T("whatisit") + " " + label, title: T("whatisit"),
    on: { click: (e) => { tip.hidden = !tip.hidden; e.currentTarget.setAttribute("aria-expanded", String(!tip.hidden)); } } }, "?") : null;
  for (const i of control.querySelectorAll("input,select")) i.setAttribute("aria-describedby", id + "-e");
  return el("div", { class: "f", "data-path": path }, el("div", { class: "row" }, el("label", { for: id }, label), help), tip, control, more || null, err);
}
// input is a control for any field of the document.
function input(path, values, label) {
  const f = field(path);
  if (!f) return null;
  label = label || f.label;
  const id = "i" + ++serial;
  switch (f.type) {
    case "choice": {
      const s = el("select", { id, on: { change: () => change(() => set(path, s.value || undefined), path === "setup.attachment.kind" || path === "lifts[0].kind") } },
        el("option", { value: "" }, T("choose")), f.choices.map((c) => el("option", { value: c.name }, c.text)));
      s.value = values[path] ?? "";
      return wrap(path, label, el("div", { class: "in text" }, s));
    }
    case "flag": {
      const c = el("input", { type: "checkbox", id, checked: values[path] === "true", on: { change: () => change(() => set(path, c.checked || undefined)) } });
      return wrap(path, label, el("div", { class: "in text" }, c));
    }
    case "text": case "marking": {
      const i = el("input", { id, type: "text", value: values[path] ?? "", autocomplete: "off", on: { change: () => change(() => set(path, i.value.trim() || undefined)) } });
      return wrap(path, label, el("div", { class: "in text" }, i));
    }
    case "whole": case "number": {
      const i = el("input", { id, type: "text", inputMode: "decimal", autocomplete: "off", value: values[path] ?? "", on: { change: () => change(() => {
        const t = num(i.value), v = t.replace(",", ".");
        set(path, v === "" ? undefined : unclear(t) ? t + " ?" : /^-?(\d+\.?\d*|\.\d+)$/.test(v) ? +v : t);
      }) } });
      return wrap(path, label, el("div", { class: "in text" }, i));
    }
    case "quantity": case "input": {
      const range = f.type === "input";
      const low = el("input", { id, type: "text", inputMode: "decimal", autocomplete: "off", value: values[path] === "none" ? "" : values[path] ?? values[path + ".low"] ?? "" });
      const high = range ? el("input", { id: id + "h", type: "text", inputMode: "decimal", autocomplete: "off", value: values[path + ".high"] ?? "", "aria-label": T("to.help", { field: label }) }) : null;
      const none = f.none ? el("input", { type: "checkbox", id: id + "n", checked: values[path] === "none" }) : null;
      const commit = () => change(() => {
        if (none && none.checked) { set(path, "none"); return; }
        const a = entered(f, low.value), b = high ? entered(f, high.value) : undefined;
        set(path, a === undefined ? b : b === undefined || a === b ? a : { low: a, high: b });
      });
      low.addEventListener("change", () => { if (none && low.value) none.checked = false; commit(); });
      if (high) high.addEventListener("change", commit);
      if (none) none.addEventListener("change", () => { if (none.checked) { low.value = ""; if (high) high.value = ""; } commit(); });
      low.setAttribute("data-path", path);
      return wrap(path, label, el("div", { class: range ? "in" : "in one" }, low, range ? [el("span", { "aria-hidden": "true" }, T("upto")), high] : null, el("span", { class: "unit" }, f.show || "")),
        none ? el("label", { class: "check", for: id + "n" }, none, T("has.none")) : null);
    }
  }
  return null;
}

// Sections of the form.
let values = {};
const box = (...x) => el("div", { class: "fields" }, x);
const group = (heading, ...x) => el("div", { class: "list" }, el("h3", {}, heading), box(x));
const many = (list, values, short) => list.map((p) => input(p, values, short && field(p) ? field(p).title : undefined));
function section(id, heading, ...content) {
  const d = el("details", { class: "s form", id: "s-" + id, open: S.open.includes(id) }, el("summary", {}, el("h2", {}, heading)), content);
  d.addEventListener("toggle", () => { S.open = S.open.filter((x) => x !== id); if (d.open) S.open.push(id); store(); });
  return d;
}
// rows are the entries of a list and one more that is empty: what is typed there is a new entry.
function row(path, columns, i) {
  return el("div", { class: "list" }, box(columns.map((c) => input(`${path}[${i}].${c}`, values, field(`${path}[${i}].${c}`).title))),
    el("button", { type: "button", on: { click: () => change(() => { get(path).splice(i, 1); }, true) } }, T("drop.row")));
}
function rows(path, columns) {
  const all = el("div", { class: "wide", "data-rows": path });
  all.grow = () => {
    const n = (get(path) || []).length;
    while (all.children.length <= n) all.append(row(path, columns, all.children.length));
    [...all.children].forEach((r, i) => { r.lastChild.hidden = i >= n; });
  };
  all.grow();
  return all;
}

const tape = ["setup.machine.wheelbase", "setup.machine.rearTrack", "setup.machine.frontTrack", "setup.loader.pivot.x", "setup.loader.pivot.z", "setup.loader.arm", "setup.loader.lowestPin", "setup.loader.highestPin", "setup.loader.selfLeveling",
  "setup.machine.rear.radius", "setup.machine.front.radius", "setup.machine.axlePinHeight"];
const weights = ["setup.machine.name", "setup.machine.undercarriage", "setup.machine.loaderIncluded", "setup.machine.massIncludes", "setup.machine.operator", "setup.machine.fuel.state", "setup.machine.fuel.capacity", "setup.machine.frontLoad", "setup.machine.rearLoad", "setup.machine.mass"];
const kinds = { forks: ["face", "loadCenter", "tine"], bucket: ["face", "edge.ahead", "edge.above", "volume"], barePin: [] };

function jobs() {
  const kind = get("lifts[0].kind");
  const height = input("lifts[0].height", values, title("lifts[0].height"));
  const us = S.system !== "metric", unit = us ? "in" : "m";
  const slider = el("input", { type: "range", id: "slider", min: 0, max: us ? 120 : 3, step: us ? 1 : 0.05, value: parseFloat(values["lifts[0].height"]) || 0, "aria-label": T("slider", { field: title("lifts[0].height") }) });
  const low = height.querySelector("input");
  slider.addEventListener("input", () => {
    const v = (+slider.value).toFixed(us ? 0 : 2);
    low.value = S.language === "de" ? v.replace(".", ",") : v;
    set("lifts[0].height", v + " " + unit);
    answer(); // the rest follows when the slider is let go
  });
  slider.addEventListener("change", () => { before = null; update(); });
  height.append(slider);
  return section("job", T("s.job"), box(input("lifts[0].kind", values), kind === "breakOut" ? null : [height, input("lifts[0].datum", values)], input("lifts[0].speed", values)),
    box(quantity("travel", start.length, T("travel"), us ? 120 : 3), quantity("place", start.length, T("place"), us ? 400 : 10)));
}
function attachments() {
  const kind = get("setup.attachment.kind"), at = "setup.attachment.";
  const f = input(at + "kind", values);
  const select = f.querySelector("select");
  select.replaceWith(swap(select));
  const list = kind && kind !== "barePin" ? ["name", "mass", ...(kinds[kind] || []), "cg.ahead", "cg.above", "rating"].map((k) => input(at + k, values)) : null;
  const other = S.compare && S.compare.kind ? el("div", { class: "buttons" }, el("button", { type: "button", id: "compare", on: { click: () => change(() => { exchange(); fits(get("setup.attachment.kind")); }, true) } },
    T("compare", { name: S.compare.name || (field(at + "kind").choices.find((c) => c.name === S.compare.kind) || { text: "" }).text }))) : null;
  return section("attachment", T("s.attachment"), box(f, list), other);
}
// swap keeps what was said of the attachment that is taken off, for when it comes back.
function swap(old) {
  const s = el("select", { id: old.id }, [...old.options].map((o) => el("option", { value: o.value }, o.textContent)));
  s.value = get("setup.attachment.kind") || "";
  s.setAttribute("aria-describedby", old.id + "-e");
  s.addEventListener("change", () => change(() => {
    const was = S.doc.setup.attachment, kind = s.value;
    if (was && was.kind) stash[was.kind] = was;
    if (kind && S.compare && S.compare.kind === kind) exchange();
    else S.doc.setup.attachment = kind ? stash[kind] || { kind } : {};
    fits(kind);
  }, true));
  return s;
}
// exchange puts the attachment of the job file on and keeps the one that was on in its place.
function exchange() {
  const was = S.doc.setup.attachment;
  S.doc.setup.attachment = structuredClone(S.compare);
  if (was && was.kind) S.compare = structuredClone(was);
}
// fits makes datum and load those of a kind of attachment.
function fits(kind) {
  set("lifts[0].datum", { forks: "tine", bucket: "edge", barePin: "pin" }[kind]);
  if (kind !== "bucket") { const l = get("lifts[0].load"); if (l) { delete l.density; delete l.volume; } if (get("lifts[0].kind") === "breakOut") set("lifts[0].kind", "hold"); }
  if (kind === "barePin") { const l = get("lifts[0].load"); if (l) delete l.above; }
}
function loads() {
  const bucket = get("setup.attachment.kind") === "bucket", bare = get("setup.attachment.kind") === "barePin";
  return section("load", T("s.load"), box(many(["lifts[0].load.name", "lifts[0].load.mass", ...(bucket ? ["lifts[0].load.density", "lifts[0].load.volume"] : []), "lifts[0].load.center", ...(bare ? [] : ["lifts[0].load.above"]), "lifts[0].load.sideways"], values),
    choice("loadIs", ["resting", "loose", "roundBale", "hanging"], T("loadis"), "loadis")));
}
const step = () => (S.system === "metric" ? [10, "kg"] : [25, "lb"]);
// A file may hold any unit of the library; what is none of these is not a number here.
const scale = { kg: 1, t: 1000, g: 0.001, lb: 0.45359237, oz: 0.028349523125, "short ton": 907.18474, "long ton": 1016.0469088, m: 1, mm: 0.001, cm: 0.01, km: 1000, in: 0.0254, ft: 0.3048, yd: 0.9144, mi: 1609.344 };
function inSI(text) {
  const m = /^(-?[\d.]+)\s*(.*)$/.exec(typeof text === "string" ? text : "");
  return m && scale[m[2]] ? +m[1] * scale[m[2]] : NaN;
}
function shift(text, by) {
  const [size, unit] = step(), v = inSI(text) / scale[unit];
  if (!Number.isFinite(v)) return text;
  return Math.max(size, Math.round((v + by * size) * 100) / 100) + " " + unit;
}
function adjust(i, by) {
  change(() => {
    const p = S.doc.setup.pieces[i];
    if (p.fill) {
      if (p.fill.level && p.fill.level.kind === "valveClock") p.fill.level.clock = Math.min(12, Math.max(6.5, p.fill.level.clock + by / 2));
    } else if (p.mass && p.mass.low) p.mass = { low: shift(p.mass.low, by), high: shift(p.mass.high, by) };
    else if (p.mass) p.mass = shift(p.mass, by);
  }, true);
}
function behind() {
  const list = S.doc.setup.pieces || [];
  const stepText = step().join(" ");
  const cards = list.map((p, i) => {
    const at = `setup.pieces[${i}]`, name = p.name || (field(at + ".kind").choices.find((c) => c.name === p.kind) || { text: "" }).text;
    const by = stepText;
    const own = p.fill ? ["name", "fill.tire.designation", "fill.fluid.kind", "fill.fluid.strength", "fill.level.clock", "tires"] : ["name", "mass", ...(p.kind === "rearWheelWeight" || p.kind === "frontWheelWeight" ? [] : ["cg.x", "cg.z"]), ...(/hitch/.test(p.kind) ? ["state"] : [])];
    return el("div", { class: "list", id: "piece" + i, "data-piece": i }, el("h3", {}, name), el("p", { class: "now" }), el("p", { class: "without" }),
      el("div", { class: "buttons" },
        el("button", { type: "button", class: "step", "aria-label": p.fill ? T("lower") + ", " + name : T("less", { name, step: by }), on: { click: () => adjust(i, -1) } }, p.fill ? T("lower") : "\u2212 " + by),
        el("button", { type: "button", class: "step", "aria-label": p.fill ? T("higher") + ", " + name : T("more", { name, step: by }), on: { click: () => adjust(i, 1) } }, p.fill ? T("higher") : "+ " + by),
        el("button", { type: "button", on: { click: () => change(() => { S.doc.setup.pieces.splice(i, 1); }, true) } }, T("drop", { name }))),
      el("details", {}, el("summary", {}, T("edit", { name })), box(many(own.map((k) => at + "." + k), values, true))));
  });
  const put = (kind) => () => change(() => {
    const us = S.system !== "metric", hitch = get("setup.machine.hitch.x");
    const p = { kind, mass: us ? "200 lb" : "100 kg" };
    if (kind === "hitchBox") {
      const x = inSI(hitch && hitch.high ? hitch.high : hitch);
      p.cg = { x: Number.isFinite(x) ? Math.round((x - 0.5) * 100) / 100 + " m" : { low: "-1.3 m", high: "-0.9 m" } };
      p.state = "raised";
    }
    if (kind === "chassis") {
      const w = get("setup.machine.wheelbase"), x = inSI(w && w.high ? w.high : w);
      p.mass = us ? "100 lb" : "40 kg";
      if (Number.isFinite(x)) p.cg = { x: Math.round((x + 0.5) * 100) / 100 + " m" };
    }
    (S.doc.setup.pieces = S.doc.setup.pieces || []).push(p);
  }, true);
  const liquid = () => { open("tire"); };
  return section("behind", T("s.behind"), list.length ? cards : el("p", {}, T("sinks")), el("p", { id: "bald" }),
    el("h3", {}, T("add")), el("div", { class: "buttons" },
      ["hitchBox", "rearWheelWeight", "chassis"].map((k) => el("button", { type: "button", on: { click: put(k) } }, T("add." + k))), el("button", { type: "button", on: { click: liquid } }, T("add.rearLiquid"))),
    el("div", { class: "buttons" }, el("button", { type: "button", id: "plan", on: { click: plan } }, T("plan"))), el("div", { id: "planned", role: "status" }),
    box(input("setup.machine.hitch.x", values, title("setup.machine.hitch.x")), input("setup.machine.hitch.rating", values, title("setup.machine.hitch.rating"))));
}
function plan() {
  const p = ask("plan", { document: pruned(S.doc), milliseconds: 20000 });
  $("planned").replaceChildren(el("div", { class: "card" }, el("p", { class: "word" }, p.title), el("ul", {}, p.lines.map((l) => el("li", {}, l))),
    p.pieces.length ? el("button", { type: "button", on: { click: () => change(() => {
      const keep = (S.doc.setup.pieces || []).filter((x) => !/hitch|rearWheelWeight/.test(x.kind));
      S.doc.setup.pieces = [...keep, ...p.pieces];
    }, true) } }, T("plan.take")) : null));
}
function plates() {
  const axle = (a) => group(T(a), ["rating", "wheelRating", "tire.loadIndex", "tire.speedSymbol", "tire.pressure", "tiresPerSide"].map((k) => input(`setup.machine.${a}.${k}`, values, fields[`setup.machine.${a}.${k}`].title)),
    el("details", { class: "wide" }, el("summary", {}, T("table")), rows(`setup.machine.${a}.tire.table`, ["pressure", "load"])));
  return section("tires", T("s.tires"), axle("front"), axle("rear"), box(many(["setup.machine.grossRating", "setup.machine.ropsRating"], values)));
}
function loader() {
  return section("plate", T("s.plate"), box(many(["setup.loader.name", "setup.loader.couplerRating", ...(get("setup.attachment.kind") === "bucket" ? ["setup.loader.breakOut"] : [])], values)),
    el("h3", {}, T("rated")), rows("setup.loader.rated", ["pinHeight", "atPin", "ahead", "aheadMass"]),
    el("details", { open: !!get("setup.loader.cylinders") }, el("summary", {}, T("cylinders")),
      box(many(["base.ahead", "base.above", "rodRadius", "rodAngle", "bore", "count", "pressure", "friction"].map((k) => "setup.loader.cylinders." + k), values))));
}
function tapes() {
  const id = "ahead";
  const unit = start.length;
  const i = el("input", { id, type: "text", inputMode: "decimal", autocomplete: "off", value: S.ahead });
  const out = el("p", { class: "tip", id: "aheadsays", role: "status" });
  i.addEventListener("change", () => {
    S.ahead = i.value;
    if (!i.value.trim()) { out.textContent = ""; store(); return; }
    const p = ask("pivot", { document: pruned(S.doc), ahead: num(i.value) });
    if (p.wrong.length) { out.textContent = p.wrong.map((x) => x.label + ": " + x.text).join(" "); return; }
    change(() => set("setup.loader.pivot.x", p.value), true);
    $("aheadsays").textContent = p.text;
  });
  const pin = el("div", { class: "f", "data-path": "y.pinahead" }, el("label", { for: id }, T("pinahead")), el("div", { class: "in one" }, i, el("span", { class: "unit" }, unit)), el("p", {}, T("pinahead.help")), out);
  const list = tape.map((p) => input(p, values, title(p)));
  list.splice(1, 0, pin);
  return section("tape", T("s.tape"), el("div", { id: "tapepicture" }), box(list));
}
// Ground. What cannot be read of it is kept by its field, in S.misread.
const sizes = { deg: 1, cm: 0.01, in: 0.0254, m: 1, "km/h": 1 / 3.6, mph: 0.44704 };
// inUnit is a text such as "10 cm" as a number of another unit.
function inUnit(text, unit) {
  const m = /^([\d.]+) (.*)$/.exec(text || "");
  return !m ? "" : m[2] === unit ? m[1] : String(+((+m[1] * sizes[m[2]]) / sizes[unit]).toPrecision(4));
}
// retold turns what was typed beside a unit into the other system's.
function retold(system) {
  const f = (text, g) => { const v = parseFloat(String(text).replace(",", ".")); return Number.isFinite(v) ? String(+g(v).toPrecision(4)) : text; };
  const us = system !== "metric", t = S.tire;
  if (t.coldest) t.coldest = f(t.coldest, (v) => (us ? v * 1.8 + 32 : (v - 32) / 1.8));
  if (t.pressure) t.pressure = f(t.pressure, (v) => (us ? v * 14.503774 : v / 14.503774));
  if (S.ahead) S.ahead = f(S.ahead, (v) => (us ? v / 0.0254 : v * 0.0254));
}
function quantity(key, unit, label, limit) {
  const g = S.ground;
  const id = "g-" + key;
  const show = { deg: "°" }[unit] || unit;
  const text = inUnit(g[key], unit);
  const i = el("input", { id, type: "text", inputMode: "decimal", autocomplete: "off", "aria-describedby": id + "-e", value: S.misread[key] ?? (S.language === "de" ? text.replace(".", ",") : text) });
  const err = el("p", { class: "err", id: id + "-e", hidden: true });
  const most = limit || { deg: 45, cm: 200, in: 80, "km/h": 60, mph: 37 }[unit];
  const box = el("div", { class: "f" }, el("label", { for: id }, label), el("div", { class: "in one" }, i, el("span", { class: "unit" }, show)), err);
  const tell = () => {
    const bad = key in S.misread;
    err.hidden = !bad;
    err.textContent = bad ? (unclear(num(S.misread[key])) ? unclearText(num(S.misread[key])) : T("ground.range", { most: most + " " + show })) : "";
    box.classList.toggle("bad", bad);
    if (bad) i.setAttribute("aria-invalid", "true"); else i.removeAttribute("aria-invalid");
  };
  i.addEventListener("change", () => {
    const t = num(i.value), v = t.replace(",", ".");
    // What cannot be read stays in its field, and there is no figure of the ground until it is
    // mended: left out silently, it would permit more.
    delete S.misread[key];
    if (t !== "" && (unclear(t) || !/^(\d+\.?\d*|\.\d+)$/.test(v) || +v > most)) S.misread[key] = i.value;
    else if (v === "" || +v === 0) delete g[key];
    else g[key] = +v + " " + unit;
    tell();
    update();
  });
  tell();
  return box;
}
function choice(key, names, label, code) {
  const g = S.ground;
  const id = "g-" + key;
  const file = key === "surface" && g.friction;
  const s = el("select", { id, on: { change: () => { if (s.value === "file") return; if (key === "surface") delete g.friction; if (s.value) g[key] = s.value; else delete g[key]; update(); } } }, el("option", { value: "" }, T("choose")),
    file ? el("option", { value: "file" }, T("surface.file", { friction: file })) : null, names.map((n) => el("option", { value: n }, T(code + "." + n))));
  s.value = file ? "file" : g[key] || "";
  return el("div", { class: "f" }, el("label", { for: id }, label), s);
}
function grounds() {
  const tapeUnit = S.system === "metric" ? "cm" : "in";
  return section("ground", T("s.ground"), el("p", {}, T("ground.day")), box(
    quantity("slope", "deg", T("slope")), choice("surface", ["dry", "gravel", "wetGrass", "mud"], T("surface"), "surface"), quantity("margin", "deg", T("margin")), quantity("manual", "deg", T("manualslope")),
    quantity("hole", tapeUnit, T("hole")), quantity("holeLength", tapeUnit, T("holeLength")), quantity("speed", start.speed, T("holespeed")),
    choice("rops", ["up", "folded", "none"], T("rops"), "rops"), choice("belt", ["worn", "not"], T("seatbelt"), "belt")), el("p", {}, T("surface.note")));
}
// Tire job.
function tires() {
  const t = S.tire;
  // A job that was worked out of other entries does not stay beside the new ones.
  const stale = () => { $("tirejob").replaceChildren(); store(); };
  const text = (key, label, unit) => {
    const id = "t-" + key;
    const i = el("input", { id, type: "text", inputMode: key === "size" ? "text" : "decimal", autocomplete: "off", value: t[key] ?? "" });
    i.addEventListener("change", () => { t[key] = i.value.trim(); stale(); });
    return el("div", { class: "f", "data-tire": key }, el("label", { for: id }, label), el("div", { class: unit ? "in one" : "in text" }, i, unit ? el("span", { class: "unit" }, unit) : null), el("p", { class: "err", hidden: true }));
  };
  const s = el("select", { id: "t-fluid", on: { change: () => { t.fluid = s.value; stale(); } } }, start.fluids.map((f) => el("option", { value: f.name }, f.text)));
  s.value = t.fluid || "water";
  const show = (u) => u.replace("degC", "°C").replace("degF", "°F").replace(" gauge", "");
  return section("tire", T("s.tire"), box(text("size", T("tire.size")), text("count", T("tire.count")), el("div", { class: "f", "data-tire": "fluid" }, el("label", { for: "t-fluid" }, T("tire.fluid")), s, el("p", { class: "err", hidden: true })),
    text("strength", T("tire.strength"), "%"), text("coldest", T("tire.coldest"), show(start.cold)), text("clock", T("tire.clock")), text("purity", T("tire.purity"), "%"), text("pressure", T("tire.pressure"), show(start.press))),
    el("div", { class: "buttons" }, el("button", { type: "button", class: "strong", id: "tiredo", on: { click: fill } }, T("tire.do"))), el("div", { id: "tirejob", role: "status" }));
}
function fill() {
  const j = ask("tire", { tire: S.tire });
  for (const f of document.querySelectorAll("[data-tire]")) {
    const bad = j.wrong.filter((w) => w.path === f.dataset.tire), e = f.querySelector(".err");
    e.hidden = !bad.length; e.textContent = bad.map((w) => w.text).join(" ");
    f.classList.toggle("bad", !!bad.length);
  }
  if (!j.result) { $("tirejob").replaceChildren(); return; }
  const lines = (heading, list, ordered) => list.length ? [el("h3", {}, heading), el(ordered ? "ol" : "ul", {}, list.map((l) => el("li", {}, l)))] : null;
  $("tirejob").replaceChildren(el("div", {}, j.boxes.map((b) => el("p", { class: "warn" }, b)), el("table", {}, el("tbody", {}, j.rows.map((r) => el("tr", {}, el("th", { scope: "row" }, r[0]), el("td", {}, r[1]))))),
    j.svg ? el("figure", {}, picture(j.svg), el("figcaption", {}, j.picture)) : null,
    el("div", { class: "heed" }, lines(T("h.heed"), j.heed)), lines(T("tire.h.mix"), j.mix), lines(T("tire.h.pressure"), j.pressure), lines(T("tire.h.steps"), j.steps, true),
    el("div", { class: "card" }, el("h3", {}, T("tire.h.label")), j.label.map((l) => el("p", {}, l))), lines(T("h.notes"), j.notes),
    el("button", { type: "button", id: "tireput", class: "noprint", on: { click: () => change(() => {
      const keep = (S.doc.setup.pieces || []).filter((p) => p.kind !== "rearLiquid");
      S.doc.setup.pieces = [...keep, { kind: "rearLiquid", fill: j.fill, tires: j.tires }];
    }, true) } }, T("tire.put"))));
  performance.mark("tire");
}
function more() {
  const used = new Set([...document.querySelectorAll("[data-path]")].map((e) => norm(e.dataset.path)));
  const list = Object.values(fields).filter((f) => /^(setup\.(machine|loader)\.|lifts\[\]\.(basis|factor|name|tires))/.test(f.path) && !["group", "list", "set"].includes(f.type) && !used.has(f.path) && !/\[\]\..*\[\]/.test(f.path) && !/^setup\.loader\.(rated|cylinders|manualBallast|breakOut)/.test(f.path) && !/\.table\[\]/.test(f.path));
  return section("more", T("s.more"), box(list.map((f) => input(f.path.replace("lifts[]", "lifts[0]"), values, f.label))));
}
function files() {
  const say = el("p", { id: "said", role: "status" });
  const file = el("input", { type: "file", id: "file", accept: ".json,application/json" });
  file.addEventListener("change", async () => {
    const f = file.files[0];
    if (!f) return;
    load(f.size > 4e6 ? "x" : await f.text(), f.name);
    file.value = "";
  });
  return section("file", T("s.file"), el("div", { class: "buttons" },
    el("button", { type: "button", id: "save", on: { click: save } }, T(S.job ? "job.save" : "save")), el("button", { type: "button", on: { click: () => print() } }, T("print"))),
    el("ul", { id: "jobsays" }), el("label", { for: "file" }, T("open")), file, say,
    el("div", { class: "buttons" }, el("button", { type: "button", id: "new", on: { click: () => { change(() => { S.doc = structuredClone(start.empty); S.job = S.compare = null; another(); S.ahead = ""; stash = {}; }, true, true); } } }, T("new")),
      el("button", { type: "button", id: "rated", on: { click: () => load("rated", T("demo.rated")) } }, T("demo.rated")), el("button", { type: "button", id: "demo", on: { click: () => load("demo", T("demo")) } }, T("demo")), el("button", { type: "button", id: "compact", on: { click: () => load("compact", T("demo.compact")) } }, T("demo.compact"))),
    el("p", { id: "kept" }));
}
// whole has the parts that the form is built on.
function whole(doc) {
  const s = (doc.setup = doc.setup || {});
  for (const part of ["machine", "loader", "attachment"]) s[part] = s[part] || {};
  if (!doc.lifts || !doc.lifts.length) doc.lifts = structuredClone(start.empty.lifts);
  return doc;
}
// another machine comes with its own manual, protection and friction: what was said of those of the
// machine before it would permit more than is known.
function another(own) {
  const { slope, surface, hole, holeLength, speed } = S.ground;
  S.ground = Object.fromEntries(Object.entries({ slope, surface, hole, holeLength, speed, ...own }).filter(([, v]) => v !== undefined));
  S.misread = {};
}
function load(text, name) {
  const o = ask("open", { file: text });
  if (!o.document) {
    $("said").textContent = T("notopened") + " " + (o.wrong || []).map((w) => (w.label ? w.label + ": " : "") + w.text).join(" ");
    return;
  }
  change(() => {
    S.doc = whole(o.document);
    S.job = o.job ? { text: o.job, document: pruned(S.doc), ground: o.ground } : null;
    S.compare = o.compare || null;
    // A job file says its own yard.
    if (S.job) { S.ground = structuredClone(o.ground); S.misread = {}; } else another(o.ground);
    S.ahead = ""; stash = {};
  }, true, true);
  $("said").textContent = T("opened", { name: get("setup.machine.name") || name }) + (o.renewed ? " " + T("renewed") + " " + o.renewed.join(" ") : "");
}
// saved is the job file that was opened, with what was changed; null where none is open.
const saved = () => S.job && ask("save", { file: S.job.text, before: S.job.document, yardBefore: S.job.ground, document: pruned(S.doc), yard: S.ground, compare: S.compare || undefined });
function save() {
  const job = saved(), text = job ? job.text : JSON.stringify(pruned(S.doc), null, 2) + "\n";
  const name = (get("setup.machine.name") || "machine").replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "").slice(0, 60) || "machine";
  const url = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  const a = el("a", { href: url, download: name + ".json" });
  a.click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}

// build makes the form anew: for another language, other units or another document.
function build() {
  const focus = document.activeElement && document.activeElement.closest ? document.activeElement.closest("[data-path],[data-piece]") : null;
  const label = document.activeElement && document.activeElement.getAttribute && document.activeElement.getAttribute("aria-label");
  const where = focus && (focus.dataset.path ? `[data-path="${focus.dataset.path}"]` : `[data-piece="${focus.dataset.piece}"]`);
  const top = scrollY;
  values = ask("form", { document: S.doc }).values;
  const form = $("form");
  form.replaceChildren();
  for (const make of [files, jobs, attachments, loads, behind, () => section("manual", T("s.manual"), box(many(["kind", "hitch", "rearWheels"].map((k) => "setup.loader.manualBallast." + k), values))), loader,
    () => section("weights", T("s.weights"), el("p", {}, T("s.weights.hint")), box(many(weights, values))), tapes, plates, grounds, tires, more]) form.append(make());
  if (where) {
    const again = (label && form.querySelector(`[aria-label="${CSS.escape(label)}"]`)) || (form.querySelector(where) || form).querySelector("input,select,button");
    if (again && form.querySelector(where)) again.focus({ preventScroll: true });
  }
  if (top) scrollTo(0, top); // it lays the whole form out, which the first answer need not wait for
}
// skeleton makes the page anew.
function skeleton() {
  document.documentElement.lang = S.language;
  document.title = T("title");
  $("title").textContent = T("title");
  $("lead").textContent = T("lead");
  $("skip").textContent = T("skip");
  $("about").textContent = T("about", { version: start.library });
  const pick = (id, label, list, key) => {
    const s = el("select", { id, on: { change: () => { if (key === "system") retold(s.value); S[key] = s.value; begin(); $(id).focus(); } } }, list.map(([v, t]) => el("option", { value: v }, t)));
    s.value = S[key];
    return el("div", { class: "noprint" }, el("label", { for: id }, label), s);
  };
  $("choices").replaceChildren(pick("language", T("language"), [["en", "English"], ["de", "Deutsch"]], "language"), pick("system", T("units"), [["metric", T("units.metric")], ["usCustomary", T("units.us")]], "system"));
  $("main").replaceChildren(
    el("section", { id: "answer", tabIndex: -1, "aria-labelledby": "h-answer" }, el("h2", { id: "h-answer" }, T("h.answer")), el("div", { id: "verdict", role: "status" }), el("div", { id: "changed" }), el("div", { id: "next", class: "noprint" }), el("div", { id: "detail" })),
    el("section", { id: "papertire", class: "paperonly" }),
    el("div", { id: "form" }));
}

// Answers.
const marks = { exceedsLimit: "\u2716\uFE0E", needsRatings: "\u2026", cannotSay: "?", noLimitExceeded: "\u2713" };
function answer() {
  const doc = pruned(S.doc);
  let a;
  try { a = ask("answer", { document: doc, before: before || undefined, ground: ground() }); } catch (e) {
    // No figure of an earlier question stays on the page.
    for (const id of ["changed", "next", "detail"]) $(id).replaceChildren();
    $("verdict").replaceChildren(el("div", { class: "card cannotSay", id: "card" }, el("p", { class: "word" }, T("word.open")), el("p", {}, e.message)));
    throw e;
  }
  last = a;
  const figures = a.low ? el("div", { class: "numbers" }, el("div", {}, el("span", {}, T("low.label")), el("b", { id: "low" }, a.low), el("span", {}, T(a.bare ? "low.bare" : "low.means"))),
    el("div", {}, el("span", {}, T("high.label")), el("b", { id: "high" }, a.high), el("span", {}, T("high.means")))) : null;
  const open = a.kilograms && a.kilograms[1] > 90000;
  $("verdict").replaceChildren(el("div", { class: "card " + a.verdict, id: "card" }, el("p", { class: "word" }, el("span", { class: "mark", "aria-hidden": "true" }, marks[a.verdict]), a.word),
    a.asked ? el("p", {}, a.job ? a.job[0].toUpperCase() + a.job.slice(1) + ". " : "", a.asked) : null, open ? null : figures, a.limit && !open ? el("p", {}, T("limited", { limit: a.limit })) : null, el("ul", {}, a.lines.map((l) => el("li", {}, l)))));
  const unfinished = pruned.unfinished;
  $("changed").replaceChildren(...(a.changed.length ? [el("h3", {}, T("h.changed")), el("ul", { id: "changes" }, a.changed.map((c) => el("li", {}, c))),
    ] : []), ...(undo.length ? [el("div", { class: "buttons noprint" }, el("button", { type: "button", id: "undo", on: { click: () => { const u = undo.pop(); S.doc = u.doc; S.job = u.job; S.compare = u.compare; if (u.ground) S.ground = u.ground; before = null; build(); update(); } } }, T("undo")))] : []),
    ...(unfinished.length ? [el("p", {}, T("unfinished", { list: [...new Set(unfinished)].join(", ") }))] : []));
  problems(a);
  return a;
}
// problems shows what is wrong beside its field.
function problems(a) {
  for (const f of document.querySelectorAll(".f.bad[data-path]")) {
    f.classList.remove("bad");
    f.querySelector(".err").hidden = true;
    for (const i of f.querySelectorAll("input,select")) i.removeAttribute("aria-invalid");
  }
  const loose = [];
  for (const w of a.wrong) {
    const v = w.path ? get(w.path) : undefined, text = [v, v && v.low, v && v.high].find((x) => /^-?\d+[.,]\d{3} \?$/.test(x));
    if (text) w.text = unclearText(text.slice(0, -2));
    const f = find(w.path);
    if (!f || !f.querySelector(".err")) { loose.push(w); continue; }
    f.classList.add("bad");
    const e = f.querySelector(".err");
    e.hidden = false;
    e.textContent = w.text;
    for (const i of f.querySelectorAll("input,select")) i.setAttribute("aria-invalid", "true");
    loose.push(w);
  }
  if (loose.length) $("card").append(el("ul", {}, loose.map((w) => el("li", {}, w.label ? w.label + ": " : "", w.text))));
}
function find(path) {
  const list = [...document.querySelectorAll(".f[data-path]")];
  return list.find((e) => e.dataset.path === path) || list.find((e) => e.dataset.path.startsWith(path + ".") || e.dataset.path.startsWith(path + "["));
}
function open(id) { const d = $("s-" + id); d.open = true; d.scrollIntoView(); const i = d.querySelector("input,select,button"); if (i) i.focus(); }
function go(path) {
  const f = find(path);
  if (!f) { open(path.startsWith("ground") ? "ground" : "more"); return; }
  for (let d = f.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
  f.scrollIntoView({ block: "center" });
  const i = f.querySelector("input,select");
  if (i) i.focus({ preventScroll: true });
}
function detail(a) {
  const list = (heading, items, cls) => items && items.length ? [el("h3", {}, heading), el("ul", { class: cls || null }, items.map((x) => el("li", {}, x)))] : null;
  const fold = (id, heading, ...content) => el("details", { class: "s", id }, el("summary", {}, el("h3", {}, heading)), content);
  const opened = [...$("detail").querySelectorAll("details[open]")].map((d) => d.id);
  $("detail").replaceChildren(el("div", {},
    el("div", { class: "heed", id: "heed" }, list(T("h.heed"), a.first)),
    a.lift ? [el("table", { id: "parts" }, el("tbody", {}, el("tr", {}, el("th", { scope: "row" }, T("lift")), el("td", {}, a.lift)), el("tr", {}, el("th", { scope: "row" }, T("carry")), el("td", {}, a.carry)))), a.rated ? el("p", {}, a.rated) : null, el("p", {}, a.rear), a.broken.map((b) => el("p", { class: "warn" }, b))] : null,
    el("div", { id: "poses" }), el("div", { id: "slopes" }), el("div", { id: "holes" }),
    a.limits.length ? fold("d-limits", T("h.limits"), el("table", {}, el("tbody", {}, a.limits.map((r) => el("tr", {}, el("th", { scope: "row" }, r[0]), el("td", {}, r[1], r[2] ? el("div", {}, r[2]) : null)))))) : null,
    a.axles.length ? fold("d-axles", T("h.axles") + (a.axlesOf ? ": " + a.axlesOf : ""), el("table", {}, el("tbody", {}, a.axles.map((r) => el("tr", {}, el("th", { scope: "row" }, r[0]), el("td", {}, r[1])))))) : null,
    a.assumed.length ? fold("d-assumed", T("h.assumed"), el("ul", {}, a.assumed.map((x) => el("li", {}, x)))) : null,
    a.rest.length ? fold("d-rest", T("h.rest"), el("ul", {}, a.rest.map((x) => el("li", {}, x)))) : null,
    a.notes.length ? fold("d-notes", T("h.notes"), el("ul", {}, a.notes.map((x) => el("li", {}, x)))) : null,
    el("div", { class: "paperonly", id: "given" }, el("h3", {}, T("h.given")), el("div", { class: "two" }, a.given.map((g) => el("p", {}, g[0] + ": ", el("b", {}, g[1])))), el("p", {}, T("printed")), el("p", {}, T("date")))));
  for (const id of opened) if ($(id)) $(id).open = true;
  a.pieces.forEach((p, i) => {
    const c = $("piece" + i);
    if (!c) return;
    c.querySelector(".now").textContent = p.text;
    c.querySelector(".without").textContent = p.without;
  });
  if (!a.pieces.length) for (const c of document.querySelectorAll("[data-piece]")) { c.querySelector(".now").textContent = ""; c.querySelector(".without").textContent = ""; }
  if ($("bald")) $("bald").textContent = a.bald || "";
}
const ground = () => S.ground;
function next(first, others, late) {
  $("next").replaceChildren(first ? el("div", { class: "next" }, el("h3", {}, T("h.next")), el("p", { class: "ask" }, first.text), first.care ? el("p", {}, first.care) : null, first.worth ? el("p", {}, first.worth) : null,
    el("div", { class: "buttons" }, first.fields.map((f, i) => el("button", { type: "button", class: i ? "" : "strong", on: { click: () => go(f.path) } }, T("next.go") + ": " + f.label))),
    others.length ? el("details", {}, el("summary", {}, T("next.more") + " (" + others.length + ")"), el("ul", {}, others.map((q) => el("li", {}, q.text, q.care ? " " + q.care : "", q.worth ? " (" + q.worth + ")" : "",
      el("div", { class: "buttons" }, q.fields.map((f) => el("button", { type: "button", on: { click: () => go(f.path) } }, f.label))))))) : null,
    late ? el("p", {}, T("next.late")) : null) : el("p", {}, T("next.none")));
}
function block(id, heading, s, again) {
  const open = s.title || s.lines.length;
  $(id).replaceChildren(...(open ? [el("h3", {}, heading), el("div", { class: "card" + (s.bad ? " bad" : "") }, s.title ? el("p", {}, el("b", {}, (s.bad ? marks.exceedsLimit + " " : "") + s.title)) : null, el("ul", {}, s.lines.map((l) => el("li", {}, l)))),
    s.late ? el("button", { type: "button", class: "noprint", on: { click: again } }, T("slow")) : ""] : []));
}

// update answers anew: first the answer, then what may take longer, in pieces so that the page
// stays usable.
function update() {
  const mine = ++token, doc = pruned(S.doc);
  delete document.documentElement.dataset.done;
  if ($("planned")) $("planned").replaceChildren(); // a plan is that of the question before the change
  store();
  for (const r of document.querySelectorAll("[data-rows]")) r.grow();
  const a = answer();
  detail(a);
  const job = saved();
  $("jobsays").replaceChildren(...(job ? job.lines : []).map((l) => el("li", {}, l)));
  performance.mark("answer");
  const missing = a.missing.map((m) => ({ text: m.text || m.label, fields: [m] }));
  if (missing.length) next(missing[0], missing.slice(1));
  const noLoad = !a.missing.length && !a.wrong.length && !a.result ? [{ text: T("word.load"), fields: [{ path: "lifts[0].load.mass", label: title("lifts[0].load.mass") }] }] : [];
  const parts = [
    () => {
      const p = ask("pictures", { document: doc, ground: ground() });
      $("poses").replaceChildren(...(p.poses.length ? [el("h3", {}, T("h.pictures")), el("div", { class: "figures" }, p.poses.map((x) => el("figure", {}, x.svg ? picture(x.svg) : null, el("figcaption", {}, el("b", {}, x.title), x.lines.join(" ")))))] : []),
        ...(p.key ? [el("p", {}, p.key)] : []), ...(p.sketched && p.poses.length ? [el("p", {}, p.sketched)] : []));
      if ($("tapepicture")) $("tapepicture").replaceChildren(el("figure", {}, p.tape.svg ? picture(p.tape.svg) : null, el("figcaption", {}, el("b", {}, p.tape.title), p.tape.lines.join(" "))),
        ...(p.sketched ? [el("p", {}, p.sketched)] : []),
        el("ul", { class: "arrows" }, p.tape.arrows.map((x) => el("li", {}, el("button", { type: "button", on: { click: () => go(x.path) } }, el("b", {}, x.letter), el("span", {}, x.label), el("span", {}, x.value || "?"))))));
    },
    () => {
      if (missing.length) return;
      const q = ask("questions", { document: doc, milliseconds: 1200 });
      const list = [...noLoad, ...q.list];
      next(list[0], list.slice(1), q.late);
      performance.mark("questions");
    },
    () => {
      const g = ground();
      if (["slope", "margin", "manual", "travel"].some((k) => k in S.misread)) { block("slopes", T("h.slope"), { title: T("wrong"), lines: [], bad: true }); return; }
      if (!g.slope && !g.surface && !g.friction && !g.rops) { $("slopes").replaceChildren(); return; }
      const run = (ms) => block("slopes", T("h.slope"), ask("slope", { document: doc, ground: g, milliseconds: ms }), () => run(60000));
      run(800);
    },
    () => {
      const g = ground();
      if (["hole", "holeLength", "speed", "travel"].some((k) => k in S.misread)) { block("holes", T("h.hole"), { title: T("wrong"), lines: [], bad: true }); return; }
      if (!g.hole || !g.holeLength || !g.speed) { $("holes").replaceChildren(); return; }
      const run = (ms) => block("holes", T("h.hole"), ask("hole", { document: doc, ground: g, milliseconds: ms }), () => run(60000));
      run(800);
    },
    () => { performance.mark("done"); document.documentElement.dataset.done = String(mine); },
  ];
  const later = (i) => setTimeout(() => { if (mine !== token || i === parts.length) return; parts[i](); later(i + 1); }, i === 1 ? 120 : 0);
  later(0);
}
function begin() {
  start = ask("start");
  performance.mark("begun");
  W = start.words;
  fields = {};
  for (const f of start.fields) fields[f.path] = f;
  if (!S.doc) { S.doc = structuredClone(start.empty); S.open = ["file"]; }
  before = null;
  skeleton();
  build();
  update();
}

addEventListener("beforeprint", () => {
  // The form is not printed, but the tire job that stands in it is.
  const job = $("tirejob").cloneNode(true);
  for (const e of [job, ...job.querySelectorAll("[id]")]) e.removeAttribute("id");
  job.removeAttribute("role");
  $("papertire").replaceChildren(...(job.firstChild ? [el("h2", {}, T("s.tire")), job] : []));
 for (const d of document.querySelectorAll("#detail details")) { d.dataset.was = d.open ? "1" : ""; d.open = true; } });
addEventListener("afterprint", () => {
  $("papertire").replaceChildren();
 for (const d of document.querySelectorAll("#detail details")) d.open = d.dataset.was === "1"; });

// The library is in the page, packed: the browser unpacks it itself.
async function unpack() {
  const text = $("library").textContent.trim();
  const bytes = Uint8Array.fromBase64 ? Uint8Array.fromBase64(text) : Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
  $("library").remove();
  performance.mark("decoded");
  const go = new Go();
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  const { instance } = await WebAssembly.instantiateStreaming(new Response(stream, { headers: { "Content-Type": "application/wasm" } }), go.importObject);
  performance.mark("compiled");
  const ready = new Promise((done) => { globalThis.steelyardReady = done; });
  go.run(instance).then(() => { $("wait")?.replaceChildren("The library has stopped. / Die Bibliothek hat angehalten."); });
  await ready;
  performance.mark("library");
}
try {
  const was = JSON.parse(localStorage.getItem(KEY) || "null");
  if (was && was.doc && was.doc.setup) {
    Object.assign(S, was);
    if (S.language !== "de") S.language = "en";
    if (S.system !== "metric") S.system = "usCustomary";
  }
  else { if (/^de/i.test(navigator.language)) S.language = "de"; if (/-US$/i.test(navigator.language)) S.system = "usCustomary"; }
} catch { kept = false; }
$("wait").textContent = S.language === "de" ? "Die Bibliothek wird entpackt ..." : "The library is being unpacked ...";
unpack().then(() => {
  // What was kept may be of an older version of the page, or not be a machine at all.
  try {
    if (S.doc) { const o = ask("open", { file: JSON.stringify(S.doc) }); if (o.document) S.doc = o.document; }
    if (S.job) try { saved(); } catch { S.job = S.compare = null; }
    begin();
  } catch (e) {
    if (!S.doc) throw e;
    Object.assign(S, { doc: null, job: null, compare: null, ground: {}, misread: {}, ahead: "", tire: { fluid: "calciumChloride", clock: "12", count: 2 }, open: [] });
    begin();
  }
 performance.mark("first"); globalThis.steelyardPage = { firstAnswer: performance.now() - began, state: () => structuredClone(S), document: () => pruned(S.doc), answer: () => last, saved, ask, load }; document.documentElement.dataset.ready = "yes";
})
  .catch((e) => {
    const say = S.language === "de" ? "Dieser Browser kann die Bibliothek nicht ausführen: " : "This browser cannot run the library: ";
    ($("wait") || $("main")).textContent = say + e.message;
  });
})();
