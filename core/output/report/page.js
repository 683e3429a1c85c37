/* page.js - what the report does: maps with values, the table, panels, charts. All from the JSON in the page. */
"use strict";
(() => {
const D = JSON.parse(document.getElementById("data").textContent);
const $ = id => document.getElementById(id);
const NS = "http://www.w3.org/2000/svg";
/* The only two ways to make a node: text is always set as text. */
function el(tag, attrs, ...kids) {
  const n = document.createElement(tag);
  for (const k in attrs || {}) if (attrs[k] !== null && attrs[k] !== undefined) n.setAttribute(k, attrs[k]);
  n.append(...kids.flat().filter(k => k !== null && k !== undefined));
  return n;
}
function sv(tag, attrs, ...kids) {
  const n = document.createElementNS(NS, tag);
  for (const k in attrs || {}) n.setAttribute(k, attrs[k]);
  n.append(...kids.flat());
  return n;
}
const txt = (x, y, cls, s) => sv("text", {x, y, class: cls}, s);
const mark = (shape, px = 16) => sv("svg", {class: "mk", width: px, height: px, "aria-hidden": "true"}, sv("use", {href: "#m-" + shape}));
const ok = x => typeof x === "number" && isFinite(x);
const sign = (x, d = 0) => (x < 0 ? "−" : "+") + Math.abs(x).toFixed(d);
const minus = (x, d = 0) => (x < 0 ? "−" : "") + Math.abs(x).toFixed(d);
const pct = x => !ok(x) ? "–" : x < 1 ? "under 1\u00a0%" : x > 99 ? ">99\u00a0%" : Math.round(x) + "\u00a0%";
const bare = x => pct(x).replace("\u00a0%", "");
const km = x => x < 1 ? x.toFixed(2) : x < 200 ? x.toFixed(1) : x.toFixed(0);
const deg = x => String(Math.round(x) % 360).padStart(3, "0");
const seasons = {"no-trees": "no trees counted", "in-leaf": "in leaf", "out-of-leaf": "bare"};
const S = D.scenarios;
const state = {scenario: D.shown_first, layer: D.timed ? "heard" : "snr", sort: "heard", up: false, find: "", limit: "", share: "", open: -1};
const path = (l, s = state.scenario) => D.paths[s][l];
const stepOf = (kind, v) => {
  if (!ok(v)) return -1;
  const from = {heard: [1, 10, 50, 90, 99], level: [-28, -24, -15, -8, 6, 20]}[kind];
  if (kind === "difference") { const k = [1, 3, 10].filter(f => Math.abs(v) >= f).length; return v < 0 ? 3 - k : 3 + k; }
  return from ? from.filter(f => v >= f).length : v;
};
/* Other scenario that differs in nothing but one thing. */
const other = (s, key, value) => S.findIndex(t => ["height_m", "power_dbm", "season"].every(k => t[k] === (k === key ? value : S[s][k])));

/* --- controls ------------------------------------------------------------------------------------------ */
function radios(name, legend, values, now, pick) {
  if (values.length > 6) {
    const sel = el("select", {"aria-label": legend}, values.map(v => el("option", {value: v[0]}, v[1])));
    sel.value = now; sel.addEventListener("change", () => pick(sel.value));
    return el("fieldset", null, el("legend", null, legend), sel);
  }
  const seg = el("div", {class: "seg"}, values.map(v => {
    const i = el("input", {type: "radio", name, value: v[0]});
    i.checked = String(v[0]) === String(now);
    i.addEventListener("change", () => pick(v[0]));
    return el("label", null, i, v[1]);
  }));
  return el("fieldset", null, el("legend", null, legend), seg);
}
const distinct = key => [...new Set(S.map(s => s[key]))];
const layers = () => {
  const all = [];
  if (grid("heard", state.scenario)) all.push(["heard", "Share of the year"]);
  if (grid("snr", state.scenario)) all.push(["snr", "Signal over noise"]);
  if (grid("way", state.scenario)) all.push(["way", "Which way it comes"]);
  if (leafPair()) all.push(["leaves", "What leaves take"]);
  return all;
};
function leafPair() {
  const a = other(state.scenario, "season", "in-leaf"), b = other(state.scenario, "season", "out-of-leaf");
  return a >= 0 && b >= 0 && grid("snr", a) && grid("snr", b) ? [a, b] : null;
}
const grid = (what, s) => $("g-" + what + "-" + s);
function tools() {
  const box = $("map-tools"), pick = key => v => {
    const t = other(state.scenario, key, key === "season" ? v : +v);
    if (t >= 0) { state.scenario = t; refresh(); }
  };
  const now = S[state.scenario];
  const focus = document.activeElement && document.activeElement.name ? [document.activeElement.name, document.activeElement.value] : null;
  box.replaceChildren();
  const all = layers();
  if (all.length) box.append(radios("layer", "Show", all, state.layer, v => { state.layer = v; refresh(); }));
  for (const [key, legend, word] of [["season", "Trees", v => seasons[v]], ["height_m", "Antenna height", v => v + " m"], ["power_dbm", "Power", v => v + " dBm"]]) {
    const values = distinct(key);
    if (values.length > 1) box.append(radios(key, legend, values.map(v => [v, word(v)]), now[key], pick(key)));
  }
  box.hidden = !box.children.length;
  if (focus) for (const i of box.querySelectorAll("input")) if (i.name === focus[0] && i.value === focus[1]) i.focus();
}

/* --- maps: one byte a cell answers both the colour and the pointer ------------------------------------------ */
const cache = new Map();
async function bytes(node) {
  if (!node) return null;
  if (!cache.has(node.id)) {
    const raw = Uint8Array.from(atob(node.textContent), c => c.charCodeAt(0));
    const flow = new Blob([raw]).stream().pipeThrough(new DecompressionStream("deflate"));
    cache.set(node.id, new Uint8Array(await new Response(flow).arrayBuffer()));
  }
  return cache.get(node.id);
}
const value = {heard: b => (b - 2) / 2, snr: b => (b - 2) / 2 - 60, way: b => b - 2};
const kindOf = {heard: "heard", snr: "level", way: "way", leaves: "difference"};
const rgb = hex => [1, 3, 5].map(i => parseInt(hex.slice(i, i + 2), 16));
let base = null, shown = null, side = 0, at = null, drawn = 0;
async function layerBytes() {
  if (state.layer !== "leaves") return bytes(grid(state.layer, state.scenario));
  const [a, b] = leafPair(), x = await bytes(grid("snr", a)), y = await bytes(grid("snr", b));
  return x.map((v, i) => v < 2 || y[i] < 2 ? Math.min(v, y[i]) : Math.max(2, Math.min(255, 128 + 2 * (v - y[i]))));
}
const valueAt = i => shown[i] < 2 ? NaN : state.layer === "leaves" ? (shown[i] - 128) / 4 : value[state.layer](shown[i]);
function css(name) { return rgb(getComputedStyle(document.documentElement).getPropertyValue(name).trim()); }
function paint(canvas) {
  const steps = D.steps[kindOf[state.layer]].map(s => [rgb(s.land), rgb(s.sea), s.texture, rgb(s.texture_land), rgb(s.texture_sea)]);
  const pic = new ImageData(side, side), paper = css("--paper"), land = css("--land"), sea = css("--sea"), coast = css("--coast"), none = css("--no-data");
  for (let i = 0; i < side * side; i++) {
    const x = i % side, y = (i - x) / side, b = base[i], v = shown[i];
    let c = b === 0 ? paper : b === 1 ? sea : land;
    if (v === 1) c = null;
    else if (v === 0) c = (x + y) % 9 < 1 ? none : paper;
    else {
      const k = stepOf(kindOf[state.layer], valueAt(i)), p = steps[k], wet = b === 1;
      if (p) c = textured(p[2], x, y) ? p[wet ? 4 : 3] : p[wet ? 1 : 0];
    }
    if (c && b === 1 && v !== 0 && ((x + 1 < side && base[i + 1] > 1) || (x > 0 && base[i - 1] > 1) || (y > 0 && base[i - side] > 1) || (y + 1 < side && base[i + side] > 1))) c = coast;
    const lit = c && b > 1 && v > 1 ? ((b - 128.5) / 126.5) * 16 : 0;
    for (let k = 0; k < 3; k++) pic.data[4 * i + k] = c ? c[k] + lit : 0;
    pic.data[4 * i + 3] = c ? 255 : 0;
  }
  canvas.getContext("2d").putImageData(pic, 0, 0);
}
function textured(t, x, y) {
  if (t === "dots") return y % 6 === 0 && (x + (y % 12 ? 3 : 0)) % 6 === 0;
  if (t === "level") return y % 7 === 0;
  if (t === "dashes") return (x + (y % 20 < 10 ? 0 : 5) - y % 10 + 400) % 20 < 1 && y % 10 < 6;
  return t === "lost" ? (x - y + 7 * side) % 7 === 0 : false;
}
/* Place and marks: the drawing is azimuthal equidistant about the beacon. */
const R = D.map ? D.map.radius_km : 1, rad = Math.PI / 180;
const xy = (d, az) => [410 + 373.1 * d / R * Math.sin(az * rad), 410 - 373.1 * d / R * Math.cos(az * rad)];
/* Geodesic ahead on WGS 84 (T. Vincenty, Survey Review 23, 1975). */
function ahead(lon, lat, az, m) {
  const a = 6378137, f = 1 / 298.257223563, b = a * (1 - f), sa = Math.sin(az), ca = Math.cos(az);
  const tu = (1 - f) * Math.tan(lat * rad), cu = 1 / Math.hypot(1, tu), su = tu * cu;
  const s1 = Math.atan2(tu, ca), sal = cu * sa, c2 = 1 - sal * sal, u2 = c2 * (a * a - b * b) / (b * b);
  const A = 1 + u2 / 16384 * (4096 + u2 * (-768 + u2 * (320 - 175 * u2))), B = u2 / 1024 * (256 + u2 * (-128 + u2 * (74 - 47 * u2)));
  let s = m / (b * A), cm, ss, cs;
  for (let i = 0; i < 8; i++) {
    cm = Math.cos(2 * s1 + s); ss = Math.sin(s); cs = Math.cos(s);
    s = m / (b * A) + B * ss * (cm + B / 4 * (cs * (2 * cm * cm - 1) - B / 6 * cm * (4 * ss * ss - 3) * (4 * cm * cm - 3)));
  }
  const t = su * ss - cu * cs * ca, la = Math.atan2(su * cs + cu * ss * ca, (1 - f) * Math.hypot(sal, t));
  const l = Math.atan2(ss * sa, cu * cs - su * ss * ca), C = f / 16 * c2 * (4 + f * (4 - 3 * c2));
  const L = l - (1 - C) * f * sal * (s + C * ss * (cm + C * cs * (2 * cm * cm - 1)));
  return [((lon + L / rad + 540) % 360) - 180, la / rad];
}
function locator(lon, lat) {
  const x = (lon + 540) % 360, y = Math.min(lat + 90, 179.99999), A = 65;
  return String.fromCharCode(A + x / 20, A + y / 10) + Math.floor(x % 20 / 2) + Math.floor(y % 10) + String.fromCharCode(97 + x % 2 * 12, 97 + y % 1 * 24);
}
function overlay() {
  const g = sv("svg", {viewBox: "0 0 820 820", "aria-hidden": "true"}), nice = [1, 2, 5, 10, 20, 50, 100, 200, 500].find(n => R / n <= 4) || 500;
  const k = Math.max(1, 820 / Math.max(200, innerWidth - 34)), m = 16 * k; /* marks and words keep their size on a phone */
  g.style.setProperty("--k", k);
  g.append(sv("circle", {cx: 410, cy: 410, r: 373.1, class: "rim"}));
  const places = D.listeners.map(l => xy(l.km, l.bearing_deg)), ringLabels = [];
  for (let d = nice; d < R * .98; d += nice) {
    const free = a => places.every(p => Math.abs(p[0] - xy(d, a)[0]) > 36 * k || Math.abs(p[1] - 4 - xy(d, a)[1]) > 16 * k);
    const at = xy(d, [122, 137, 107, 152, 92, 167, 77, 182, 62].find(free) || 122);
    ringLabels.push(at);
    g.append(sv("circle", {cx: 410, cy: 410, r: 373.1 * d / R, class: "far"}), txt(at[0], at[1], "halo mid", d + " km"));
  }
  for (let a = 0; a < 360; a += 30) {
    const [x, y] = xy(R * 1.055, a);
    if (k === 1 || a % 90 === 0) g.append(txt(x, y + 4, "mid sec", deg(a) + "°"));
  }
  const taken = [], names = sv("g", {class: "names"}), marks = sv("g");
  const spots = D.listeners.map((l, i) => [l, i, xy(l.km, l.bearing_deg)]).filter(s => s[0].km <= R).sort((a, b) => a[0].km - b[0].km);
  for (const s of spots) taken.push([s[2][0] - 8, s[2][1] - 8, s[2][0] + 8, s[2][1] + 8]);
  taken.push([400, 400, 420, 420]);
  for (const [x, y] of ringLabels) taken.push([x - 26, y - 13, x + 26, y + 4]);
  let left = 0;
  const put = (name, x, y, cls) => {
    const w = Math.min(name.length, 24) * 7.4;
    for (const [dx, dy, anchor] of [[11, 4, ""], [11, -7, ""], [11, 15, ""], [-11, 4, "end"], [-11, -7, "end"], [-11, 15, "end"], [0, -12, "mid"], [0, 20, "mid"]]) {
      const x0 = x + dx - (anchor === "end" ? w : anchor === "mid" ? w / 2 : 0), box = [x0 - 2, y + dy - 13, x0 + w + 2, y + dy + 4];
      if (box[0] < 4 || box[2] > 816 || taken.some(t => t[0] < box[2] && t[2] > box[0] && t[1] < box[3] && t[3] > box[1])) continue;
      taken.push(box);
      names.append(txt(x + dx, y + dy, "halo " + anchor + " " + cls, name.length > 24 ? name.slice(0, 23) + "…" : name));
      return;
    }
    left++;
  };
  put(D.beacon.name, 410, 410, "b");
  for (const [l, , p] of spots) put(l.name, p[0], p[1], "");
  for (const [, i, p] of spots.slice().reverse()) {
    const shape = path(i).shape;
    marks.append(sv("use", {href: "#m-" + shape, x: p[0] - m * .56, y: p[1] - m * .56, width: m * 1.12, height: m * 1.12, style: "color:var(--paper);stroke:var(--paper);stroke-width:4"}),
      sv("use", {href: "#m-" + shape, x: p[0] - m / 2, y: p[1] - m / 2, width: m, height: m, class: "mark"}));
  }
  marks.append(sv("circle", {cx: 410, cy: 410, r: 9, class: "inkfill"}), sv("circle", {cx: 410, cy: 410, r: 5, fill: "none", stroke: "var(--paper)", "stroke-width": 1.6}), sv("circle", {cx: 410, cy: 410, r: 1.9, class: "white"}));
  g.append(marks, names, sv("g", {id: "cross"}));
  $("map-note").firstChild.textContent = left ? left + " names left out, see the table." : "";
  return g;
}
const ways = {1: "along the ground (surface)", 2: "over or through trees", 3: "trapped in a layer of air (ducting)", 4: "scattered high in the air (troposcatter)", 0: "no way"};
async function readout() {
  if (!at || !shown) return;
  const [cx, cy] = at, x = (cx + .5) / side * 2 - 1, y = 1 - (cy + .5) / side * 2, d = Math.hypot(x, y) * R, az = (Math.atan2(x, y) / rad + 360) % 360;
  const box = $("readout"), cross = $("cross"), px = 410 + 373.1 * x, py = 410 - 373.1 * y, turn = ++drawn;
  cross.replaceChildren(sv("path", {d: `M${px - 12} ${py}h24M${px} ${py - 12}v24`, class: "cross"}));
  if (d > R) { box.replaceChildren(el("dt", null, "Place"), el("dd", null, "outside the map")); return; }
  const [lon, lat] = ahead(D.beacon.position[0], D.beacon.position[1], az * rad, d * 1000), i = cy * side + cx, rows = [];
  const near = D.listeners.map((l, k) => [Math.hypot(...[0, 1].map(j => xy(l.km, l.bearing_deg)[j] - [px, py][j])), l, k]).sort((a, b) => a[0] - b[0])[0];
  rows.push(["Place", Math.abs(lat).toFixed(3) + "° " + (lat < 0 ? "S" : "N") + " " + Math.abs(lon).toFixed(3) + "° " + (lon < 0 ? "W" : "E")]);
  rows.push(["Locator, distance, bearing", locator(lon, lat) + " · " + km(d) + " km at " + deg(az) + "°"]);
  const read = async (what, f) => { const b = await bytes(grid(what, state.scenario)); return b ? (b[i] < 2 ? "no ground data" : f(value[what.startsWith("snr") ? "snr" : what](b[i]), b[i])) : null; };
  const heard = await read("heard", v => pct(v) + " of the year"), snr = await read("snr", (v, b) => b === 2 ? "below −60 dB" : b === 255 ? "above +66 dB" : minus(v) + " dB");
  const best = await read("snr10", v => minus(v)), worst = await read("snr90", v => minus(v)), way = await read("way", v => ways[v]);
  if (heard) rows.push(["Heard", el("b", null, heard)]);
  if (snr) rows.push([D.timed ? "Signal over noise, half of the time" : "Signal over noise", snr]);
  if (best && worst) rows.push(["10–90 % of the time", worst + " to " + best + " dB, 2500 Hz"]);
  if (way) rows.push(["Comes by", way]);
  if (state.layer === "leaves" && shown[i] > 1) rows.push(["Leaves change it by", sign(valueAt(i)) + " dB"]);
  if (near && near[0] < 24) rows.push(["Listener here", near[1].name + (ok(path(near[2]).heard_percent) ? ", " + pct(path(near[2]).heard_percent) : "")]);
  if (turn === drawn) box.replaceChildren(...rows.flatMap(r => [el("dt", null, r[0]), el("dd", null, r[1])]));
}
let told = 0, wait = 0;
function tell() {
  const now = Date.now();
  clearTimeout(wait);
  if (now - told > 333) { told = now; readout(); } else wait = setTimeout(tell, 340 - (now - told));
}
function key() {
  const kind = kindOf[state.layer], steps = D.steps[kind], own = kind === "heard" || kind === "level";
  const head = {heard: "Share of the year", level: "Signal over noise in 2500 Hz, dB", way: "Which way it comes, half of the time", difference: "In leaf minus bare, dB"}[kind];
  $("key").replaceChildren(el("h3", null, head), el("ul", {class: "key"}, steps.slice().reverse().map(s =>
    el("li", null, el("i", {style: "background:" + s.land}), el("i", {style: "background:" + s.sea}), own && kind === D.kind ? mark(s.shape) : el("span"), el("span", null, s.word), el("small", null, s.range)))),
    el("small", null, "First colour on land, second at sea. Hatched: no ground data. " + D.standard_listener));
}
async function map() {
  const node = $("g-base");
  if (!node || !D.map) { $("map-note").firstChild.textContent = D.map ? "The layers found no room in this file; the sheets lie beside it." : "The job asks for no map."; return; }
  if (!("DecompressionStream" in window)) { $("map-note").firstChild.textContent = "Values at the pointer need a newer browser."; return; }
  if (!layers().some(l => l[0] === state.layer)) state.layer = layers().length ? layers()[0][0] : state.layer;
  if (!layers().length) { $("map-picture").hidden = false; $("map-live").hidden = true; $("map-note").firstChild.textContent = "This scenario's layers found no room in this file; its sheets lie beside it."; return; }
  side = +node.dataset.side;
  base = await bytes(node);
  shown = await layerBytes();
  const live = $("map-live");
  let canvas = live.querySelector("canvas");
  if (!canvas) {
    canvas = el("canvas", {width: side, height: side, role: "img"});
    const touch = el("div", {class: "touch", tabindex: 0, role: "application", "aria-label": "Map: read values with the arrow keys"});
    live.append(canvas, touch);
    const point = e => {
      const r = canvas.getBoundingClientRect(), c = [(e.clientX - r.left) / r.width, (e.clientY - r.top) / r.height].map(v => Math.floor(v * side));
      if (c.every(v => v >= 0 && v < side)) { at = c; tell(); }
    };
    touch.addEventListener("pointermove", point);
    touch.addEventListener("pointerdown", point);
    touch.addEventListener("keydown", e => {
      const way = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]}[e.key];
      if (!way) return;
      e.preventDefault();
      const n = e.shiftKey ? 10 : 1;
      at = (at || [side >> 1, side >> 1]).map((v, k) => Math.max(0, Math.min(side - 1, v + n * way[k])));
      tell();
    });
  }
  canvas.setAttribute("aria-label", D.map_alt);
  paint(canvas);
  const old = live.querySelector("svg");
  if (old) old.remove();
  live.insertBefore(overlay(), live.querySelector(".touch"));
  live.hidden = $("map-side").hidden = false;
  $("map-picture").hidden = true;
  key();
  if (!at) at = [Math.floor(side * .62), Math.floor(side * .5)];
  readout();
}

/* --- the table ------------------------------------------------------------------------------------------ */
const bareOf = l => { const t = other(state.scenario, "season", "out-of-leaf"); return S[state.scenario].season === "in-leaf" && t >= 0 ? path(l, t).heard_percent : undefined; };
const range = p => p.spread && p.spread.heard_percent_8_in_10 && p.spread.heard_percent_8_in_10.every(ok) ? p.spread.heard_percent_8_in_10 : null;
function bar(p) {
  const v = p.heard_percent, x = s => 1 + 1.3 * s, g = sv("svg", {class: "bar", width: 132, height: 16, viewBox: "0 0 132 16", "aria-hidden": "true"});
  g.append(sv("line", {x1: 1, x2: 131, y1: 8, y2: 8, class: "trk"}));
  const r = range(p);
  if (r) g.append(sv("rect", {x: x(r[0]), y: 3, width: Math.max(1, 1.3 * (r[1] - r[0])), height: 10, class: "rng"}));
  g.append(sv("line", {x1: x(v), x2: x(v), y1: 0, y2: 16, class: "val"}), sv("line", {x1: 66, x2: 66, y1: 13, y2: 16, class: "trk"}));
  return g;
}
const main = p => D.timed ? p.heard_percent : p.snr_p50;
const columns = [
  ["name", "Listener", "", l => D.listeners[l].name, true],
  ["heard", D.timed ? "Heard, % of the year" : "Signal over noise, dB", D.timed ? "in its own mode" : "in 2500 Hz", l => main(path(l)), false],
  ...(D.timed ? [["m90", "works 90 %", "of the time", l => path(l).best[0], true, "opt"], ["m50", "half", "the time", l => path(l).best[1], true, "opt"], ["m10", "10 %", "of the time", l => path(l).best[2], true, "opt"]] : [["m50", "best mode", "", l => path(l).best[1], true, "opt"]]),
  ["limit", "Limited by", "", l => path(l).limited, true],
  ...(distinct("season").includes("out-of-leaf") && D.timed ? [["bare", "Bare", "trees", l => bareOf(l), false, "opt n"]] : []),
  ["km", "km", "", l => D.listeners[l].km, true, "opt n"],
  ["deg", "from", "north, °", l => D.listeners[l].bearing_deg, true, "opt n"]];
function cell(c, l) {
  const p = path(l), v = c[3](l);
  if (c[0] === "heard") {
    if (!ok(v)) return el("td", {class: "h"}, "–");
    if (!D.timed) return el("td", {class: "h"}, el("span", {class: "n"}, sign(v) + " dB"));
    const r = range(p);
    return el("td", {class: "h"}, bar(p), el("span", {class: "n"}, pct(v)), r ? el("small", null, bare(r[0]) + " to " + bare(r[1])) : null);
  }
  const word = c[0] === "km" ? km(v) : c[0] === "deg" ? deg(v) : c[0] === "bare" ? pct(v) : v || "–";
  return el("td", {class: (c[5] || "") + (c[0] === "limit" ? " lim" : "")}, word);
}
const limitKind = l => (path(l).verdict && path(l).verdict.limited_by ? path(l).verdict.limited_by.what : path(l).limited_kind) || "";
function rows() {
  const c = columns.find(k => k[0] === state.sort), f = state.find.toLowerCase();
  const list = D.listeners.map((_, l) => l).filter(l =>
    (!f || D.listeners[l].name.toLowerCase().includes(f) || D.listeners[l].locator.toLowerCase().includes(f)) &&
    (!state.limit || limitKind(l) === state.limit) && (state.share === "" || path(l).step === +state.share));
  return list.sort((a, b) => {
    const x = c[3](a), y = c[3](b), nx = x === undefined || x === null || x !== x, ny = y === undefined || y === null || y !== y;
    const by = nx || ny ? nx - ny : (typeof x === "string" ? x.localeCompare(y) : x - y) * (state.up ? 1 : -1);
    return by || D.listeners[a].km - D.listeners[b].km;
  });
}
function table() {
  const list = rows(), s = S[state.scenario], body = el("tbody");
  for (const l of list) {
    const open = state.open === l, who = el("button", {class: "who", type: "button", "aria-expanded": open, "data-l": l}, mark(path(l).shape), el("bdi", null, D.listeners[l].name), el("span", {class: "vh"}, ", " + path(l).word));
    who.addEventListener("click", () => { state.open = open ? -1 : l; table(); const h = $("panel-head"); (h || $("table").querySelector(`[data-l="${l}"]`)).focus(); });
    body.append(el("tr", {class: open ? "open" : null}, el("th", {scope: "row"}, who), columns.slice(1).map(c => cell(c, l))));
    if (open) body.append(el("tr", {class: "panel"}, el("td", {colspan: columns.length}, panel(l))));
  }
  const head = el("tr", null, columns.map(c => {
    const on = state.sort === c[0], b = el("button", {type: "button", "data-sort": c[0]}, c[1] + (on ? (state.up ? " ↑" : " ↓") : ""), c[2] ? el("small", null, c[2]) : null);
    b.addEventListener("click", () => { if (on) state.up = !state.up; else { state.sort = c[0]; state.up = c[4]; } table(); $("table").querySelector(`[data-sort=${c[0]}]`).focus(); });
    return el("th", {scope: "col", class: c[5] || null, "aria-sort": on ? (state.up ? "ascending" : "descending") : null}, b);
  }));
  const cap = "Antenna at " + s.height_m + " m, trees: " + seasons[s.season] + "." + (D.timed && D.paths[state.scenario].some(range) ? " Pale bar: the share lies in it with 8 in 10 chance." : "");
  $("table").className = "live";
  $("table").replaceChildren(el("table", null, el("caption", null, cap), el("thead", null, head), body));
  $("shown").textContent = list.length + " of " + D.listeners.length + " shown";
}
function find() {
  const text = el("input", {type: "search", placeholder: "call sign or place", id: "find-text"}), limit = el("select", {id: "find-limit"}), share = el("select", {id: "find-share"});
  const kinds = [...new Set(D.listeners.map((_, l) => limitKind(l)))].filter(Boolean).sort();
  limit.append(el("option", {value: ""}, "anything"), ...kinds.map(k => el("option", {value: k}, k)));
  share.append(el("option", {value: ""}, "any"), ...D.steps[D.kind].map((s, i) => el("option", {value: i}, s.word)).reverse());
  text.addEventListener("input", () => { state.find = text.value; table(); });
  limit.addEventListener("change", () => { state.limit = limit.value; table(); });
  share.addEventListener("change", () => { state.share = share.value; table(); });
  $("find").replaceChildren(el("label", null, "Find", text), el("label", null, "Limited by", limit), el("label", null, D.timed ? "Heard" : "Level", share));
  $("find").hidden = !D.listeners.length;
}

/* --- a listener's panel ------------------------------------------------------------------------------------ */
function panel(l) {
  const p = path(l), w = D.listeners[l], box = el("div", {class: "detail"}), v = p.verdict || {};
  const head = el("h2", {tabindex: -1, id: "panel-head"}, v.verdict || p.sentence);
  box.append(el("p", {class: "eyebrow"}, el("bdi", null, w.name), " · " + km(w.km) + " km at " + deg(w.bearing_deg) + "°"), head);
  box.addEventListener("keydown", e => { if (e.key === "Escape") { state.open = -1; table(); $("table").querySelector(`[data-l="${l}"]`).focus(); } });
  if (!p.by_time) { box.append(el("p", null, "The ground is known only as far as " + km(p.ground_known_to_km || 0) + " km: no answer.")); return box; }
  const r = range(p), g = p.geometry, after = s => s ? s.replace(/^[^:]*: /, "") : null;
  box.append(el("div", {class: "cols"}, el("p", null, el("b", null, "What limits it"), el("br"), after(v.cause) || p.limited),
    el("p", null, el("b", null, "What would help most"), el("br"), after(v.help) || (!v.verdict ? "not worked out in this run" : limitKind(l) === "nothing" ? "nothing is needed" : "nothing you can build")),
    el("p", null, el("b", null, "How sure"), el("br"), r ? (pct(r[0]) === pct(r[1]) ? pct(r[0]) : bare(r[0]) + " to " + pct(r[1])) + " with 8 in 10 chance." : ok(p.snr_p90) && ok(p.snr_p10) ? "8 of 10 hours lie from " + minus(p.snr_p90) + " to " + sign(p.snr_p10) + " dB; how far the models err comes on top." : "A middle value only: no range over time in this chain.")));
  if (p.flags) box.append(el("p", null, el("small", null, "Note: " + p.flags + ".")));
  const pic = picture(l);
  if (pic) box.append(pic);
  box.append(el("h3", null, "Where the signal goes"), waterfall(l), byTime(p));
  const pair = distinct("season").length > 1 ? S.map((s, i) => [s, i]).filter(([s]) => s.height_m === S[state.scenario].height_m && s.power_dbm === S[state.scenario].power_dbm) : [];
  if (pair.length > 1) box.append(el("p", null, el("b", null, "Trees: "), pair.map(([s, i]) => seasons[s.season] + " " + (D.timed ? pct(path(l, i).heard_percent) : sign(path(l, i).snr_p50) + " dB")).join(", ") + "."));
  box.append(el("p", null, el("small", null, (g.line_of_sight ? "Line of sight. " : "No line of sight. ") + "Least clearance " + minus(g.clearance_m, 1) + " m (" + minus(g.clearance_f1, 1) + " first zones) at " + km(g.worst_point_km) + " km. Point to " + deg(g.back_bearing_deg) + "°, " + sign(g.back_elevation_deg, 2) + "° up.")));
  if (w.card) {
    box.append(el("h3", null, "Card, for " + D.card_scenario), el("pre", {class: "card"}, w.card), copyButton("Copy the card", w.card));
  }
  return box;
}
function copyButton(word, text) {
  const b = el("button", {type: "button", class: "btn"}, word);
  b.addEventListener("click", () => navigator.clipboard && navigator.clipboard.writeText(text).then(() => { b.textContent = "Copied"; }));
  return b;
}
function picture(l) {
  const id = String(l + 1).padStart(4, "0") + "-" + S[state.scenario].name, node = $("p-" + id);
  if (node) return el("div", {class: "plate scroll"}, el("img", {src: "data:image/png;base64," + node.textContent, width: 1600, height: 930, alt: "Path profile from the beacon to " + D.listeners[l].name}));
  return D.left_out.includes(id) ? el("p", null, el("small", null, "The profile picture found no room here: paths/" + id + ".png lies beside this file.")) : null;
}
function byTime(p) {
  const t = p.by_time, pick = [1, 10, 50, 90, 99].map(w => t.time_percent.findIndex(x => x === w)).filter(i => i >= 0), at = pick.length ? pick : [0];
  return el("div", {class: "method"}, el("table", null, el("caption", null, "By share of time"), el("thead", null, el("tr", null, ["time, %", "loss, dB", "arrives, dBm", "SNR in 2500 Hz, dB", "way"].map(h => el("th", {scope: "col"}, h)))),
    el("tbody", null, at.map(i => el("tr", null, el("th", {scope: "row"}, String(t.time_percent[i])), [t.basic_loss_db, t.received_dbm, t.snr_2500hz_db].map(a => el("td", null, ok(a[i]) ? minus(a[i], 1) : "–")), el("td", null, t.way[i] || "–"))))));
}
/* Steps of the budget sum to what arrives; the last but one takes up what the ways make of it together. */
function waterfall(l) {
  const p = path(l), rows = p.steps_db, noise = p.budget.noise_2500hz_dbm, need = noise + p.needed_snr_db;
  let lo = Math.min(noise, p.arrives_dbm) - 12, hi = 10, sum = 0;
  for (const r of rows) { sum += r[1]; hi = Math.max(hi, sum); lo = Math.min(lo, sum); }
  lo = Math.floor(lo / 20) * 20; hi = Math.ceil(hi / 20) * 20;
  const phone = innerWidth <= 760, left = phone ? 6 : 320, span = phone ? 220 : 560, step = phone ? 48 : 32, W = phone ? 326 : 1000, top = phone ? 50 : 34;
  const X = v => left + (v - lo) / (hi - lo) * span, H = top + 14 + step * (rows.length + 2), word = (y, cls, s) => txt(0, phone ? y - 5 : y + 14, cls, s);
  const g = sv("svg", {viewBox: `0 0 ${W} ${H}`, width: W, height: H, role: "img", "aria-label": "Budget: " + rows.map(r => r[0] + " " + sign(r[1], 1) + " dB").join(", ")});
  for (let v = lo; v <= hi; v += phone ? 60 : 20) g.append(sv("line", {x1: X(v), x2: X(v), y1: 26, y2: H - 6, class: "grid"}), txt(Math.max(X(v), 14), 18, "sec mid", minus(v)));
  g.append(txt(X(hi) + 26, 18, "sec", "dBm"));
  const worst = rows.slice(1).filter(r => !/^(Spreading|Fading|More than|Air)/.test(r[0])).sort((a, b) => a[1] - b[1])[0];
  sum = 0;
  rows.forEach((r, k) => {
    const y = top + step * k, from = sum, b = r === worst && r[1] < -1 ? "b" : "";
    sum += r[1];
    const x0 = X(Math.min(from, sum)), wide = Math.max(1, Math.abs(X(sum) - X(from)));
    g.append(word(y, b, r[0]), sv("rect", {x: x0, y, width: wide, height: 18, class: r[1] < 0 ? "lossfill" : "gain"}));
    if (r[1] < 0) g.append(sv("rect", {x: x0, y, width: wide, height: 18, fill: "url(#lost)"}));
    g.append(txt(x0 + wide + 6, y + 14, b, sign(r[1], 1) + (k ? " dB" : " dBm")));
  });
  const y = top + step * rows.length;
  g.append(word(y, "b", "What arrives"));
  if (ok(p.snr_p10) && ok(p.snr_p90)) g.append(sv("rect", {x: X(noise + p.snr_p90), y, width: Math.max(1, X(noise + p.snr_p10) - X(noise + p.snr_p90)), height: 18, class: "zone"}));
  g.append(sv("line", {x1: X(sum), x2: X(sum), y1: y - 2, y2: y + 20, class: "line"}), txt(Math.max(X(sum), ok(p.snr_p10) ? X(noise + p.snr_p10) : 0) + 8, y + 14, "", minus(sum, 1) + " dBm" + (ok(p.snr_p10) && !phone ? ", 8 of 10 hours in the band" : "")));
  g.append(word(y + step, "", "Noise in 2500 Hz · what the mode needs"), sv("line", {x1: X(noise), x2: X(noise), y1: y + step - 2, y2: y + step + 22, class: "axis"}), sv("line", {x1: X(need), x2: X(need), y1: y + step - 2, y2: y + step + 22, class: "accline", "stroke-dasharray": "4 3"}));
  g.append(txt(Math.max(X(noise), X(need)) + 8, y + step + 14, "acc", "noise " + minus(noise, 1) + (phone ? ", needs " : " dBm, needs ") + minus(need, 1) + (phone ? "" : " dBm")));
  return el("div", {class: "plate chart"}, g);
}

/* --- heights ------------------------------------------------------------------------------------------- */
function heights() {
  const box = $("height");
  for (const n of [...box.children].slice(1)) n.remove();
  const all = D.heights || [], group = all.find(h => h.scenarios.includes(state.scenario)) || all[0];
  if (!group) return;
  box.hidden = document.querySelector('nav a[href="#height"]').hidden = false;
  $("h-h").textContent = "Height: " + group.title;
  box.append(el("p", null, "Each box is one listener. Where the line is flat, more height buys nothing. Trees: " + seasons[S[group.scenarios[0]].season] + "."));
  const hs = group.scenarios.map(s => S[s].height_m), snr = (l, k) => group.scenarios.map(s => path(l, s)[k]);
  const gain = l => { const v = snr(l, "snr_p50"); return ok(v[0]) ? Math.max(...v.filter(ok)) - v[0] : -1; };
  const list = D.listeners.map((_, l) => l).filter(l => gain(l) >= 0).sort((a, b) => gain(b) - gain(a) || a - b), few = list.slice(0, 12);
  const lo = Math.min(-30, ...few.flatMap(l => snr(l, "snr_p50").concat(snr(l, "snr_p90")).filter(ok))), hi = Math.max(10, ...few.flatMap(l => snr(l, "snr_p50").concat(snr(l, "snr_p10")).filter(ok)));
  const X = h => 12 + (h - hs[0]) / (hs[hs.length - 1] - hs[0]) * 190, Y = v => 36 + (hi - v) / (hi - lo) * 110;
  const small = el("div", {class: "small"});
  for (const l of few) {
    const g = sv("svg", {viewBox: "0 0 216 176", role: "img", "aria-label": D.listeners[l].name + ": " + snr(l, "snr_p50").map((v, i) => hs[i] + " m " + minus(v) + " dB").join(", ")});
    const named = [], up = snr(l, "snr_p10"), down = snr(l, "snr_p90"), mid = snr(l, "snr_p50"), line = a => a.map((v, i) => (i ? "L" : "M") + X(hs[i]).toFixed(1) + " " + Y(v).toFixed(1)).join("");
    if (up.every(ok) && down.every(ok)) g.append(sv("path", {d: line(up) + down.map((v, i) => "L" + X(hs[hs.length - 1 - i]).toFixed(1) + " " + Y(down[down.length - 1 - i]).toFixed(1)).join("") + "Z", class: "zone"}));
    for (const [db, word] of [[6, "voice +6"], [-15, "Morse −15"], [-28, "digital −28"]]) if (db < hi && db > lo) {
      g.append(sv("line", {x1: 12, x2: 202, y1: Y(db), y2: Y(db), class: "dots"}));
      if (few.indexOf(l) % 4 === 0) named.push(txt(202, Y(db) - 3, "sec end halo", word));
    }
    if (group.stop !== null) g.append(sv("line", {x1: X(hs[group.stop]), x2: X(hs[group.stop]), y1: 28, y2: 146, class: "dash"}));
    g.append(sv("line", {x1: 12, x2: 202, y1: 146, y2: 146, class: "axis"}), sv("path", {d: line(mid.map(v => ok(v) ? v : lo)), class: "line"}));
    const knee = group.knees[l];
    if (ok(mid[knee])) g.append(sv("circle", {cx: X(hs[knee]), cy: Y(mid[knee]), r: 4.5, class: "stop"}));
    const name = D.listeners[l].name;
    g.append(sv("use", {href: "#m-" + path(l).shape, x: 2, y: 0, width: 14, height: 14, class: "mark"}), txt(20, 12, "b", name.length > 21 ? name.slice(0, 20) + "…" : name), txt(204, 27, "sec end", gain(l) >= 1 ? sign(gain(l)) + " dB to " + hs[knee] + " m" : "no gain"), txt(12, 162, "sec", hs[0] + ""), txt(204, 162, "sec end", hs[hs.length - 1] + " m"));
    g.append(...named);
    small.append(g);
  }
  box.append(el("div", {class: "plate chart"}, small, el("small", null, "Signal over noise in 2500 Hz against height above ground. Line: middle value; band: 8 of 10 hours; circle: within 1 dB of its best.")));
  if (list.length > 12) box.append(el("p", null, el("small", null, "and " + (list.length - 12) + " who gain " + (gain(list[12]) < 1 ? "less than 1 dB" : "less") + ".")));
  const counts = group.scenarios.map(s => S[s].listeners_heard), top = Math.max(...counts, 1), g = sv("svg", {viewBox: "0 0 640 200", width: 640, role: "img", "aria-label": "Listeners hearing it, by height"});
  const cx = h => 50 + (h - hs[0]) / (hs[hs.length - 1] - hs[0]) * 480, cy = n => 160 - n / top * 130;
  g.append(sv("line", {x1: 50, x2: 530, y1: 160, y2: 160, class: "axis"}), txt(42, 164, "sec end", 0), sv("path", {d: counts.map((n, i) => (i ? "L" : "M") + cx(hs[i]) + " " + cy(n)).join(""), class: "line"}));
  hs.forEach((h, i) => g.append(sv("circle", {cx: cx(h), cy: cy(counts[i]), r: 3.5, class: "inkfill"}), txt(cx(h), 178, "sec mid", h), txt(cx(h), cy(counts[i]) - 8, "mid halo b", counts[i])));
  g.append(txt(290, 196, "sec mid", "height of the beacon antenna above ground, m"), txt(538, cy(counts[counts.length - 1]) + 4, "", "own mode"));
  box.append(el("h3", null, "Listeners who hear it " + (D.timed ? "half the year" : "")), el("div", {class: "plate chart"}, g));
}

/* --- trees ------------------------------------------------------------------------------------------------ */
function trees() {
  const box = $("trees"), a = other(state.scenario, "season", "in-leaf"), b = other(state.scenario, "season", "out-of-leaf");
  for (const n of [...box.children].slice(1)) n.remove();
  if (a < 0 || b < 0) return;
  box.hidden = document.querySelector('nav a[href="#trees"]').hidden = false;
  const cost = l => path(l, b).snr_p50 - path(l, a).snr_p50, list = D.listeners.map((_, l) => l).filter(l => ok(cost(l))).sort((x, y) => cost(y) - cost(x)), some = list.filter(l => cost(l) >= 1);
  $("h-t").textContent = some.length ? "Trees: leaves cost " + some.length + " of " + D.listeners.length + " listeners 1 dB or more" : "Trees: leaves cost nobody 1 dB";
  box.append(el("div", {class: "method"}, el("table", null, el("caption", null, "In leaf (May to October in the north) against bare, antenna at " + S[a].height_m + " m"), el("thead", null, el("tr", null, ["Listener", "leaves cost, dB", "in leaf", "bare"].map(h => el("th", {scope: "col"}, h)))),
    el("tbody", null, (some.length ? some : list.slice(0, 3)).map(l => el("tr", null, el("th", {scope: "row"}, mark(path(l, a).shape), " ", el("bdi", null, D.listeners[l].name)), el("td", null, minus(cost(l), 1)), [a, b].map(s => el("td", null, D.timed ? pct(path(l, s).heard_percent) : sign(path(l, s).snr_p50) + " dB"))))))));
  if (some.length && some.length < list.length) box.append(el("p", null, el("small", null, "and " + (list.length - some.length) + " whom leaves cost less than 1 dB.")));
}

/* --- coverage ------------------------------------------------------------------------------------------------ */
function coverage() {
  const box = $("coverage"), c = D.coverage && D.coverage[state.scenario];
  for (const n of [...box.children].slice(1)) n.remove();
  if (!c) return;
  box.hidden = document.querySelector('nav a[href="#coverage"]').hidden = false;
  const kind = D.timed ? "heard" : "level", steps = D.steps[kind], g = sv("svg", {viewBox: "0 0 480 480", width: 480, role: "img", "aria-label": "Middle value by direction and distance; the squares' table says the same in figures"}), r = 165;
  const P = (d, a) => (240 + d * Math.sin(a * rad)).toFixed(1) + " " + (240 - d * Math.cos(a * rad)).toFixed(1);
  c.sectors.forEach((ring, s) => ring.forEach((v, k) => {
    const a0 = 15 * s, a1 = a0 + 15, d0 = r * k / 5, d1 = r * (k + 1) / 5, step = stepOf(kind, v);
    g.append(sv("path", {d: `M${P(d0, a0)}L${P(d1, a0)}A${d1} ${d1} 0 0 1 ${P(d1, a1)}L${P(d0, a1)}A${d0} ${d0} 0 0 0 ${P(d0, a0)}Z`, class: "gap" + (step < 1 ? " nil" : ""), style: step < 1 ? "" : "fill:" + steps[step].land}));
  }));
  for (let k = 1; k <= 5; k++) g.append(txt(242, 240 - r * k / 5 + 12, "halo", Math.round(R * k / 5)));
  for (let a = 0; a < 360; a += 30) g.append(txt(...P(222, a).split(" ").map((v, i) => +v + 4 * i), "sec mid", deg(a) + "°"));
  for (const [d, db] of [[175, 0], [205, 10]]) g.append(sv("circle", {cx: 240, cy: 240, r: d, class: "ring"}));
  if (D.antenna_dbi) g.append(sv("path", {d: D.antenna_dbi.map((v, i) => (i ? "L" : "M") + P(Math.max(168, Math.min(212, 175 + 3 * v)), i * 360 / D.antenna_dbi.length)).join("") + "Z", class: "accline"}));
  D.listeners.forEach((l, i) => { if (l.km <= R) { const p = P(r * l.km / R, l.bearing_deg).split(" "); g.append(sv("use", {href: "#m-" + path(i).shape, x: p[0] - 6.4, y: p[1] - 6.4, width: 12.8, height: 12.8, class: "mark"})); } });
  const head = ["Square", "on the map", "covered", D.timed ? "middle share" : "middle SNR", "best SNR, dB"];
  box.append(el("p", null, "By sector of 15° and fifth of the radius: the middle of all cells. Covered: heard by the standard listener more than half the year."),
    el("div", {class: "two"}, el("div", {class: "plate chart"}, g, el("small", null, "Inside: middle " + (D.timed ? "share of the year" : "signal over noise") + ", km. Line: antenna gain, 0 dBi inner to 10 dBi outer circle.")),
      el("div", {class: "method"}, el("table", null, el("caption", null, "By locator square"), el("thead", null, el("tr", null, head.map(h => el("th", {scope: "col"}, h)))),
        el("tbody", null, c.squares.map(q => el("tr", null, el("th", {scope: "row"}, q[0]), el("td", {class: "n"}, pct(q[1])), el("td", {class: "n"}, pct(q[2])), el("td", {class: "n"}, D.timed ? pct(q[3]) : ok(q[4]) ? sign(q[4]) : "–"), el("td", {class: "n"}, ok(q[5]) ? sign(q[5]) : "–"))))))));
}

/* --- method, data, settings ---------------------------------------------------------------------------------------- */
function method() {
  const i = D.inputs, box = $("method-body"), plain = v => v === null || v === undefined ? "–" : typeof v === "object" ? (Array.isArray(v) ? v.map(plain).join(", ") : Object.entries(v).map(([k, w]) => k + " " + plain(w)).join(", ")) : String(v);
  const grid = (cap, head, list) => el("div", {class: "method"}, el("table", null, el("caption", null, cap), el("thead", null, el("tr", null, head.map(h => el("th", {scope: "col"}, h)))), el("tbody", null, list.map(r => el("tr", null, r.map((v, k) => k ? el("td", {class: "wide"}, plain(v)) : el("th", {scope: "row"}, plain(v))))))));
  box.append(el("p", null, D.method), el("p", null, D.standard_listener),
    grid("Models", ["Model", "Role", "Source", "Settings"], (i.models || []).map(m => [m.id, m.role, m.source, m.settings])),
    grid("Data", ["File", "What", "Step, m", "Date", "Reference system", "Checksum (XXH3)"], ((i.ground || {}).data_sets || []).map(d => [d.file, d.what, ok(d.step_m) ? Math.round(d.step_m) : null, d.date, d.crs && d.crs.length > 60 ? d.crs.slice(0, 57) + "…" : d.crs, d.xxh3])),
    grid("Climate at the beacon", ["Quantity", "Value", "Unit", "Where from"], Object.entries(i.climate_at_beacon || {}).map(([k, v]) => [k, v.value, v.unit, v.source])),
    grid("Settings", ["Key", "Value"], [["beacon", i.beacon], ["chain", i.chain], ["scenarios", (i.scenarios || []).map(s => s.name)], ["job file", i.job], ["list of listeners", i.listeners], ["heights above", (i.ground || {}).vertical_datum], ["program", i.program], ["run", D.run]]));
}

/* --- start ------------------------------------------------------------------------------------------------------------ */
function refresh() { tools(); map(); table(); heights(); trees(); coverage(); }
function current() {
  const links = [...document.querySelectorAll("nav a")].filter(a => !a.hidden);
  let now = links[0];
  for (const a of links) if (document.querySelector(a.getAttribute("href")).getBoundingClientRect().top < 120) now = a;
  if (innerHeight + scrollY > document.documentElement.scrollHeight - 4) now = links[links.length - 1];
  for (const a of links) if (a === now) a.setAttribute("aria-current", "true"); else a.removeAttribute("aria-current");
}
if (!$("sheet")) document.querySelector('nav a[href="#sheet"]').hidden = true;
else if (D.sheet) $("sheet").append(copyButton("Copy the sheet", D.sheet));
find(); method(); refresh();
addEventListener("scroll", current, {passive: true});
})();
