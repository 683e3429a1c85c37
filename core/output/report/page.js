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
const between = (a, b) => pct(a) === pct(b) ? pct(a) : bare(a) + " to " + pct(b);
const km = x => x < 1 ? x.toFixed(2) : x < 200 ? x.toFixed(1) : x.toFixed(0);
const deg = x => String(Math.round(x) % 360).padStart(3, "0");
const seasons = {"no-trees": "no trees counted", "in-leaf": "in leaf", "out-of-leaf": "bare"};
const S = D.scenarios;
const state = {scenario: D.shown_first, layer: D.timed ? "heard" : "snr", sort: "heard", up: false, find: "", limit: "", share: "", open: -1, as: "live", print: false};
const path = (l, s = state.scenario) => D.paths[s][l];
const stepOf = (kind, v) => {
  if (!ok(v)) return -1;
  const from = D.limits[kind]; /* a way is its own step */
  if (!from) return v;
  if (kind !== "difference") return from.filter(f => v >= f).length;
  const k = from.filter(f => Math.abs(v) >= f).length;
  return v < 0 ? from.length - k : from.length + k;
};
/* Other scenario that differs in nothing but one thing. */
const other = (s, key, value) => S.findIndex(t => ["variant", "height_m", "power_dbm", "season"].every(k => t[k] === (k === key ? value : S[s][k])));

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
    const value = typeof S[0][key] === "string" ? v : +v, t = [other(state.scenario, key, value), S.findIndex(s => s[key] === value && s.season === S[state.scenario].season), S.findIndex(s => s[key] === value)].find(i => i >= 0);
    if (t >= 0) { state.scenario = t; refresh(); }
  };
  const now = S[state.scenario];
  const focus = document.activeElement && document.activeElement.name ? [document.activeElement.name, document.activeElement.value] : null;
  box.replaceChildren();
  const all = layers();
  if (all.length) box.append(radios("layer", "Show", all, state.layer, v => { state.layer = v; refresh(); }));
  for (const [key, legend, word] of [["season", "Trees", v => seasons[v]], ["height_m", "Antenna height", v => v + " m"], ["power_dbm", "Power", v => v + " dBm"], ["variant", "Beacon", v => v || "as given"]]) {
    const values = distinct(key);
    if (values.length > 1) box.append(radios(key, legend, values.map(v => [v, word(v)]), now[key], pick(key)));
  }
  if (all.length && sheetOf(state.scenario)) box.append(radios("as", "As", [["live", "map with values"], ["sheet", "sheet"]], state.as, v => { state.as = v; refresh(); }));
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
const value = {heard: b => (b - 2) / 2, low: b => (b - 2) / 2, high: b => (b - 2) / 2, snr: b => (b - 2) / 2 - 60, way: b => b - 2};
const kindOf = {heard: "heard", snr: "level", way: "way", leaves: "difference"};
const rgb = hex => [1, 3, 5].map(i => parseInt(hex.slice(i, i + 2), 16));
let base = null, shown = null, side = 0, wide = 0, at = null, drawn = 0;
async function layerBytes() {
  if (state.layer !== "leaves") return bytes(grid(state.layer, state.scenario));
  const [a, b] = leafPair(), x = await bytes(grid("snr", a)), y = await bytes(grid("snr", b));
  return x.map((v, i) => v < 2 || y[i] < 2 ? Math.min(v, y[i]) : Math.max(2, Math.min(255, 128 + 2 * (v - y[i]))));
}
const valueAt = i => shown[i] < 2 ? NaN : state.layer === "leaves" ? (shown[i] - 128) / 4 : value[state.layer](shown[i]);
function css(name) { return rgb(getComputedStyle(document.documentElement).getPropertyValue(name).trim()); }

/* How much of a point is covered by a texture; lengths in px of the page, one device px being `px`. */
const wrap = (x, n) => x - n * Math.floor(x / n);
const stroke = (away, width, px) => Math.min(1, width / px, Math.max(0, (width / 2 - Math.abs(away)) / px + .5));
const slanted = (along, period, width, px) => stroke((wrap(along, period) - period / 2) * Math.SQRT1_2, width, px);
function texture(t, x, y, px) {
  if (t === "none") return slanted(x + y, 9, 1.5, px);
  if (t === "lost") return slanted(x - y, 7, 1, px);
  if (t === "level") return stroke(wrap(y, 7) - 3.5, 1, px);
  if (t === "dots") return stroke(Math.max(Math.abs(wrap(x + (Math.floor(y / 6) % 2 ? 3 : 0), 6) - 3), Math.abs(wrap(y, 6) - 3)), 2, px);
  if (t !== "dashes") return 0;
  const u = wrap(x + (Math.floor(y / 10) % 2 ? 10 : 0), 20) - 5, v = wrap(y, 10) - 4.5;
  return Math.abs(u) > 3 || Math.abs(v) > 3.5 ? 0 : stroke((u - v) * Math.SQRT1_2, 1.3, px);
}
const mix = (a, b, t) => a.map((v, k) => v + (b[k] - v) * t);

/* Distance of each cell of the ground from the nearest land, in cells, as far as `reach`. */
let coast = null, coastReach = 0;
function coastDistance(reach) {
  if (coast && coastReach === reach) return coast;
  const up = new Uint8Array(wide * wide), out = new Float32Array(wide * wide), far = reach + 1;
  for (let x = 0; x < wide; x++) {
    let d = far;
    for (let y = 0; y < wide; y++) up[y * wide + x] = d = base[y * wide + x] > 1 ? 0 : Math.min(far, d + 1);
    d = far;
    for (let y = wide - 1; y >= 0; y--) { d = base[y * wide + x] > 1 ? 0 : Math.min(far, d + 1); if (d < up[y * wide + x]) up[y * wide + x] = d; }
  }
  for (let y = 0; y < wide; y++) for (let x = 0; x < wide; x++) {
    const i = y * wide + x;
    if (up[i] === 0) continue;
    let best = far * far;
    for (let k = Math.max(0, x - reach); k <= Math.min(wide - 1, x + reach); k++) best = Math.min(best, (k - x) * (k - x) + up[y * wide + k] * up[y * wide + k]);
    out[i] = Math.sqrt(best);
  }
  coastReach = reach;
  return coast = out;
}
/* The sheet's frame: 1100 px about a ring of 525; layers fill the ring's square, the ground the frame. */
const RING = 525 / 1100, WATERLINES = [[4, .3], [9, .2], [15, .12]];
function paint(canvas, size) {
  const W = canvas.width = canvas.height = Math.min(1600, Math.round(size * Math.min(2, devicePixelRatio || 1))), px = size / W;
  const kind = kindOf[state.layer], steps = D.steps[kind].map(s => ({land: rgb(s.land), sea: rgb(s.sea), t: s.texture, tLand: rgb(s.texture_land), tSea: rgb(s.texture_sea)}));
  const paper = css("--paper"), ink = css("--coast"), none = css("--no-data"), bare = [paper, css("--sea"), css("--land")], faint = bare.map(c => mix(paper, c, .5));
  faint[0] = faint[1];
  const pic = new ImageData(W, W), perCell = 2 * RING * size / side, reach = Math.ceil(16 / perCell) + 1, away = coastDistance(reach);
  const inFrame = new Float32Array(W), inBase = new Int16Array(W), inLayer = new Int16Array(W);
  for (let i = 0; i < W; i++) {
    inFrame[i] = (i + .5) / W - .5;
    inLayer[i] = Math.floor(inFrame[i] / (2 * RING) * side + side / 2);
    inBase[i] = Math.max(0, Math.min(wide - 1, Math.floor(inFrame[i] / (2 * RING) * side + wide / 2)));
  }
  const classes = new Int8Array(side * side);
  for (let i = 0; i < side * side; i++) classes[i] = stepOf(kind, valueAt(i));
  const inside = (x, y) => inFrame[x] * inFrame[x] + inFrame[y] * inFrame[y] <= RING * RING;
  const seaClass = (x, y) => x < 0 || y < 0 || x >= W || y >= W || !inside(x, y) || base[inBase[y] * wide + inBase[x]] > 1 ? -1 : classes[inLayer[y] * side + inLayer[x]];
  const shore = (x, y) => { /* px of the page from the shore */
    const u = Math.max(0, Math.min(wide - 1.001, inFrame[x] / (2 * RING) * side + wide / 2 - .5)), v = Math.max(0, Math.min(wide - 1.001, inFrame[y] / (2 * RING) * side + wide / 2 - .5));
    const c = u | 0, r = v | 0, a = u - c, b = v - r, i = r * wide + c;
    return ((1 - b) * ((1 - a) * away[i] + a * away[i + 1]) + b * ((1 - a) * away[i + wide] + a * away[i + wide + 1]) - .5) * perCell;
  };
  const e = Math.max(1, Math.round(1 / px)), landAt = (x, y) => x >= 0 && y >= 0 && x < W && y < W && base[inBase[y] * wide + inBase[x]] > 1;
  const edge = (x, y) => landAt(x - e, y) || landAt(x + e, y) || landAt(x, y - e) || landAt(x, y + e);
  for (let y = 0; y < W; y++) for (let x = 0; x < W; x++) {
    const b = base[inBase[y] * wide + inBase[x]], ring = inside(x, y), ground = Math.min(b, 2), i = inLayer[y] * side + inLayer[x], k = ring ? classes[i] : -1, o = 4 * (y * W + x);
    let c = ring ? bare[ground] : faint[ground], lit = 0;
    if (ring && shown[i] === 0) c = mix(paper, none, texture("none", x * px, y * px, px));
    else if (k >= 0) {
      const p = steps[k], cover = p.t ? texture(p.t, x * px, y * px, px) : 0;
      c = b > 1 ? p.land : p.sea;
      if (cover) c = mix(c, b > 1 ? p.tLand : p.tSea, cover);
      if (b === 1 && [[e, 0], [-e, 0], [0, e], [0, -e]].some(d => { const n = seaClass(x + d[0], y + d[1]); return n >= 0 && n < k; })) c = p.land;
      if (b > 1) lit = (b - 128.5) / 126.5 * 15;
    }
    if (b === 1) {
      const d = shore(x, y), line = edge(x, y) ? .85 : ring ? WATERLINES.reduce((m, w) => Math.max(m, w[1] * Math.min(1, Math.max(0, (.5 - Math.abs(d - w[0])) / px + .5))), 0) : 0;
      if (line) c = mix(c, ink, ring ? line : line / 2);
    }
    pic.data[o] = c[0] + lit; pic.data[o + 1] = c[1] + lit; pic.data[o + 2] = c[2] + lit; pic.data[o + 3] = 255;
  }
  canvas.getContext("2d").putImageData(pic, 0, 0);
}

/* The drawing is azimuthal equidistant about the beacon, 820 units wide. On a phone, letters and marks keep their size. */
const R = D.map ? D.map.radius_km : 1, rad = Math.PI / 180;
const F = {};
function frame() {
  const width = state.print ? 560 : Math.min(820, Math.max(200, $("map-live").clientWidth || 820));
  F.k = 820 / width;
  F.gutter = 13 * F.k + 12;
  F.x = F.gutter; F.y = 8; F.s = 820 - F.gutter - 8; F.r = F.s * RING; F.cx = F.x + F.s / 2; F.cy = F.y + F.s / 2;
  F.names = width > 700 || state.print;
  F.css = F.s / F.k;
}
const xy = (d, az) => [F.cx + F.r * d / R * Math.sin(az * rad), F.cy - F.r * d / R * Math.cos(az * rad)];
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
/* Room that is taken: boxes that no further word may touch. */
function roomOf() {
  const boxes = [];
  return {take: b => boxes.push(b), free: b => boxes.every(t => t[0] >= b[2] || t[2] <= b[0] || t[1] >= b[3] || t[3] <= b[1])};
}
const wordWidth = (s, px) => [...s].length * px * .6;
const cut = (s, n) => [...s].length > n ? [...s].slice(0, n - 1).join("") + "…" : s;
function graticule(g) {
  const G = D.map.graticule, pt = (x, y) => [F.x + F.s * x, F.y + F.s * y];
  const line = (l, cls) => sv("path", {class: cls, d: l.reduce((d, v, i) => i % 2 ? d : d + (i ? "L" : "M") + pt(v, l[i + 1]).map(q => q.toFixed(1)).join(" "), "")});
  const clip = sv("g", {"clip-path": "url(#frame)"});
  for (const l of G.lines) clip.append(line(l, "mer"));
  for (const l of G.squares || []) clip.append(line(l, "square"));
  g.append(clip);
  const skip = F.k > 1.3 ? 2 : 1; /* fewer labels on a phone */
  G.left.filter((_, i) => i % skip === 0).forEach(l => { const y = F.y + F.s * l[0]; g.append(sv("path", {class: "tick", d: `M${F.x} ${y}h-5`}), sv("text", {class: "sec mid", transform: `translate(${F.x - 9} ${y}) rotate(-90)`}, l[1])); });
  G.below.filter((_, i) => i % skip === 0).forEach(l => { const x = F.x + F.s * l[0]; g.append(sv("path", {class: "tick", d: `M${x} ${F.y + F.s}v5`}), txt(x, F.y + F.s + 7 + 11 * F.k, "sec mid", l[1])); });
}
function bearingRing(g, room) {
  let d = `M${F.cx} ${F.cy - F.r}a${F.r} ${F.r} 0 1 1 -.01 0`;
  for (let a = 0; a < 360; a += 10) { const n = a % 30 ? 5 : 9, s = Math.sin(a * rad), c = -Math.cos(a * rad); d += `M${F.cx + F.r * s} ${F.cy + F.r * c}l${n * s} ${n * c}`; }
  g.append(sv("path", {class: "rim", d}));
  for (let a = 0; a < 360; a += 30) {
    const away = F.r + 13 * F.k, s = +Math.sin(a * rad).toFixed(9), c = +Math.cos(a * rad).toFixed(9), main = a % 90 === 0;
    if (F.k > 1.3 && !state.print && a % 180 !== 30 && a % 180 !== 150) continue; /* no room beside the frame */
    const x = F.cx + (main ? (F.r + 9) * s + (s ? 0 : 24) : (away + 14 * F.k * Math.abs(s)) * s), y = F.cy - (main ? (F.r + 9) * c - (c ? 0 : s * 24) : (away + 5 * F.k * Math.abs(c)) * c);
    const turn = main && s ? 90 * s : 0;
    g.append(sv("text", {class: "halo mid", transform: `translate(${x + (turn ? -4.5 * s : 0)} ${y + (turn ? 0 : 4.5 * F.k)}) rotate(${turn})`}, deg(a) + "°"));
    room.take([x - 18 * F.k, y - 12 * F.k, x + 18 * F.k, y + 12 * F.k]);
  }
}
function distanceRings(g, labels, room) {
  const pow = Math.pow(10, Math.floor(Math.log10(R))), step = [5, 2, 1, .5, .2].map(n => n * pow).find(n => 2 * n <= .96 * R) || R / 2;
  for (let d = step, n = 0; d <= .96 * R && n < 4; d += step, n++) {
    g.append(sv("circle", {cx: F.cx, cy: F.cy, r: F.r * d / R, class: "far"}));
    const word = d < 1 ? Math.round(1000 * d) + "\u00a0m" : +d.toFixed(1) + "\u00a0km", w = wordWidth(word, 13 * F.k) / 2;
    for (let turn = 0; turn < 24; turn++) {
      const [x, y] = xy(d, 122 + 15 * turn), b = [x - w - 2, y - 8 * F.k, x + w + 2, y + 8 * F.k];
      if (!room.free(b)) continue;
      room.take(b);
      labels.append(txt(x, y + 4.5 * F.k, "halo mid", word));
      break;
    }
  }
}
/* Eight places about a mark, then further out with a leader. */
function placeName(name, x, y, cls, room, names) {
  const k = F.k, w = (wordWidth(name, 13) + (cls === "b" ? 8 : 0)) * k;
  for (const d of [11 * k, 24 * k, 38 * k])
    for (const [ex, ey] of [[1, 0], [.71, -.71], [.71, .71], [-1, 0], [-.71, -.71], [-.71, .71], [0, -1.1], [0, 1.3]]) {
      const anchor = ex > 0 ? "" : ex < 0 ? "end" : "mid", tx = x + d * ex, ty = y + d * ey + 4.5 * k, x0 = tx - (anchor === "end" ? w : anchor === "mid" ? w / 2 : 0);
      const b = [x0 - 2, ty - 13 * k, x0 + w + 2, ty + 4 * k];
      if (b[0] < F.x + 5 || b[2] > F.x + F.s - 5 || b[1] < F.y + 5 || b[3] > F.y + F.s - 5 || !room.free(b)) continue;
      room.take(b);
      if (d > 11 * k) names.append(sv("line", {x1: x + 8 * ex, y1: y + 8 * ey, x2: tx - 2 * ex, y2: y + (d - 2) * ey, class: "leader"}));
      names.append(txt(tx, ty, "halo " + anchor + " " + cls, name));
      return true;
    }
  return false;
}
/* A mark with its white edge. */
const haloed = (shape, x, y, m) => [sv("use", {href: "#m-" + shape, x: x - m * .56, y: y - m * .56, width: m * 1.12, height: m * 1.12, style: "color:var(--paper);stroke:var(--paper);stroke-width:4"}),
  sv("use", {href: "#m-" + shape, x: x - m / 2, y: y - m / 2, width: m, height: m, class: "mark"})];
function overlay() {
  const k = F.k, m = 16 * k, g = sv("svg", {viewBox: "0 0 820 820", "aria-hidden": "true"});
  g.style.setProperty("--k", k);
  g.append(sv("defs", null, sv("clipPath", {id: "frame"}, sv("rect", {x: F.x, y: F.y, width: F.s, height: F.s}))));
  const room = roomOf(), labels = sv("g"), names = sv("g"), marks = sv("g");
  const spots = D.listeners.map((l, i) => [l, i, xy(l.km, l.bearing_deg)]).filter(s => s[0].km <= R).sort((a, b) => a[0].km - b[0].km);
  for (const s of spots) room.take([s[2][0] - m / 2, s[2][1] - m / 2, s[2][0] + m / 2, s[2][1] + m / 2]);
  room.take([F.cx - 10, F.cy - 10, F.cx + 10, F.cy + 10]);
  graticule(g);
  bearingRing(g, room);
  distanceRings(g, labels, room);
  let left = 0;
  if (F.names) {
    placeName(cut(D.beacon.name, 28), F.cx, F.cy, "b", room, names);
    for (const [l, , p] of spots) if (!placeName(cut(l.name, 24), p[0], p[1], "", room, names)) left++;
  }
  for (const q of D.map.graticule.names || []) {
    const x = F.x + F.s * q[0] + 6, y = F.y + F.s * q[1] + 7 + 11 * k, b = [x - 2, y - 12 * k, x + 36 * k, y + 3];
    if (room.free(b)) { room.take(b); labels.append(txt(x, y, "halo b sq", q[2])); }
  }
  for (const [, i, p] of spots.slice().reverse()) {
    const shape = path(i).shape;
    marks.append(...haloed(shape, p[0], p[1], m));
  }
  const q = Math.min(k, 1.8);
  marks.append(sv("circle", {cx: F.cx, cy: F.cy, r: 11 * q, class: "white"}), sv("circle", {cx: F.cx, cy: F.cy, r: 9 * q, class: "inkfill"}), sv("circle", {cx: F.cx, cy: F.cy, r: 5 * q, fill: "none", stroke: "var(--paper)", "stroke-width": 1.6 * q}), sv("circle", {cx: F.cx, cy: F.cy, r: 1.9 * q, class: "white"}));
  g.append(labels, marks, names, sv("rect", {x: F.x, y: F.y, width: F.s, height: F.s, class: "rim"}), sv("g", {id: "cross"}));
  $("map-note").firstChild.textContent = left ? left + (left === 1 ? " name" : " names") + " left out, see the table." : "";
  return g;
}
const ways = {1: "along the ground (surface)", 2: "over or through trees", 3: "trapped in a layer of air (ducting)", 4: "scattered high in the air (troposcatter)", 0: "no way"};
async function readout() {
  if (!at || !shown) return;
  const [cx, cy] = at, x = (cx + .5) / side * 2 - 1, y = 1 - (cy + .5) / side * 2, d = Math.hypot(x, y) * R, az = (Math.atan2(x, y) / rad + 360) % 360;
  const box = $("readout"), cross = $("cross"), px = F.cx + F.r * x, py = F.cy - F.r * y, turn = ++drawn;
  const arm = 12 * F.k, cd = `M${px - arm} ${py}h${2 * arm}M${px} ${py - arm}v${2 * arm}`;
  cross.replaceChildren(sv("path", {d: cd, class: "cross under"}), sv("path", {d: cd, class: "cross"}));
  if (d > R) { box.replaceChildren(el("dt", null, "Place"), el("dd", null, "outside the map")); return; }
  const [lon, lat] = ahead(D.beacon.position[0], D.beacon.position[1], az * rad, d * 1000), i = cy * side + cx, rows = [];
  const near = D.listeners.map((l, k) => [Math.hypot(...[0, 1].map(j => xy(l.km, l.bearing_deg)[j] - [px, py][j])), l, k]).sort((a, b) => a[0] - b[0])[0];
  rows.push(["Place", Math.abs(lat).toFixed(3) + "° " + (lat < 0 ? "S" : "N") + " " + Math.abs(lon).toFixed(3) + "° " + (lon < 0 ? "W" : "E")]);
  rows.push(["Locator, distance, bearing", locator(lon, lat) + " · " + km(d) + " km at " + deg(az) + "°"]);
  const read = async (what, f) => { const b = await bytes(grid(what, state.scenario)); return b ? (b[i] < 2 ? "no ground data" : f(value[what.startsWith("snr") ? "snr" : what](b[i]), b[i])) : null; };
  const heard = await read("heard", v => pct(v) + " of the year"), snr = await read("snr", (v, b) => b === 2 ? "below −60 dB" : b === 255 ? "above +66 dB" : minus(v) + " dB");
  const low = await read("low", v => v), high = await read("high", v => v);
  const best = await read("snr10", v => minus(v)), worst = await read("snr90", v => minus(v)), way = await read("way", v => ways[v]);
  if (heard) rows.push(["Heard", el("b", null, heard)]);
  if (ok(low) && ok(high)) rows.push(["8 in 10 chance", "about " + between(low, high)]);
  if (snr) rows.push([D.timed ? "Signal over noise, half of the time" : "Signal over noise", snr]);
  if (best && worst) rows.push(["10–90 % of the time", worst + " to " + best + " dB, 2500 Hz"]);
  if (way) rows.push(["Comes by", way]);
  if (state.layer === "leaves" && shown[i] > 1) rows.push(["Leaves change it by", sign(valueAt(i)) + " dB"]);
  if (near && near[0] < 24 * F.k) rows.push(["Listener here", near[1].name + (ok(path(near[2]).heard_percent) ? ", " + pct(path(near[2]).heard_percent) : "")]);
  if (turn === drawn) box.replaceChildren(...rows.flatMap(r => [el("dt", null, r[0]), el("dd", null, r[1])]));
}
/* At most three times a second; while a finger drags, seen but not spoken. */
let told = 0, wait = 0;
function tell(dragging) {
  const now = Date.now();
  clearTimeout(wait);
  $("readout").setAttribute("aria-live", dragging ? "off" : "polite");
  if (now - told > 333) { told = now; readout(); } else wait = setTimeout(() => tell(dragging), 340 - (now - told));
}
/* A sample of a colour with its texture; no step: the hatch of missing ground. */
function swatch(step, wet) {
  const c = el("canvas", {class: "swatch", width: 48, height: 56, "aria-hidden": "true"}), pic = new ImageData(48, 56);
  const under = step ? rgb(wet ? step.sea : step.land) : css("--paper"), over = step ? rgb(wet ? step.texture_sea : step.texture_land) : css("--no-data");
  for (let i = 0; i < 48 * 56; i++) {
    const t = step ? step.texture : "none";
    pic.data.set([...mix(under, over, t ? texture(t, i % 48 / 2, Math.floor(i / 48) / 2, .5) : 0), 255], 4 * i);
  }
  c.getContext("2d").putImageData(pic, 0, 0);
  return c;
}
function key() {
  const kind = kindOf[state.layer], steps = D.steps[kind], own = kind === "heard" || kind === "level";
  const head = {heard: "Share of the year", level: "Signal over noise in 2500 Hz, dB", way: "Which way it comes, half of the time", difference: "In leaf minus bare, dB"}[kind];
  const missing = shown.includes(0);
  $("key").replaceChildren(el("h3", null, head), el("ul", {class: kind === "way" ? "key gloss" : "key"}, steps.slice().reverse().map(s =>
    el("li", null, swatch(s, false), swatch(s, true), own && kind === D.kind ? mark(s.shape) : el("span"), el("span", null, s.word), el("small", null, s.range))),
    missing ? el("li", null, swatch(null), el("span"), el("span"), el("span", null, "no ground data"), el("span")) : null),
    el("p", null, el("small", null, "First colour on land, second at sea." + (own && kind === D.kind ? " Filled shapes hear it more than half the year." : "") + " Dotted rings: distance; outer ring: limit of the run, degrees from north. Thicker lines: locator squares.")),
    el("p", null, el("small", null, D.standard_listener)));
}
/* The sheet of a scenario as a picture, when the file holds it. */
const sheetOf = s => s === D.shown_first ? $("map-picture").querySelector("img") : $("p-map-" + s);
function showSheet() {
  const s = state.scenario, box = $("map-picture"), node = sheetOf(s);
  for (const i of box.querySelectorAll("img")) i.hidden = +i.dataset.scenario !== s;
  if (node && node.tagName === "SCRIPT" && !box.querySelector(`[data-scenario="${s}"]`))
    box.append(el("img", {src: "data:image/png;base64," + node.textContent, width: 1600, height: 1212, "data-scenario": s, alt: "Coverage map, " + S[s].name}));
}
function sayOfMap(text, live) {
  $("map-note").firstChild.textContent = text;
  $("map-live").hidden = $("map-side").hidden = !live;
  $("map-picture").hidden = live;
}
let mapTurn = 0; /* a layer that is ready late gives way to the one asked for since */
async function map() {
  const turn = ++mapTurn, node = $("g-base");
  showSheet();
  if (!node || !D.map) { sayOfMap(D.map ? "The layers found no room in this file; the sheets lie beside it." : "The job asks for no map.", false); return; }
  if (!("DecompressionStream" in window)) { sayOfMap("Values at the pointer need a newer browser.", false); return; }
  if (!layers().some(l => l[0] === state.layer)) state.layer = layers().length ? layers()[0][0] : state.layer;
  if (!layers().length) { sayOfMap("This scenario's layers found no room in this file; its sheets lie beside it.", false); return; }
  if (state.as === "sheet") { sayOfMap("", false); return; }
  const first = grid(layers()[0][0], state.scenario), ready = [await bytes(node), await layerBytes()];
  if (turn !== mapTurn) return;
  [base, shown] = ready;
  side = +first.dataset.side; wide = +node.dataset.side;
  sayOfMap("", true);
  frame();
  const live = $("map-live");
  let canvas = live.querySelector("canvas");
  if (!canvas) {
    canvas = el("canvas", {role: "img"});
    const touch = el("div", {class: "touch", tabindex: 0, role: "application", "aria-label": "Map: read values with the arrow keys", "aria-describedby": "readout"});
    live.append(canvas, touch);
    const point = e => {
      const r = canvas.getBoundingClientRect(), c = [(e.clientX - r.left) / r.width, (e.clientY - r.top) / r.height].map(v => Math.floor((v - .5) / (2 * RING) * side + side / 2));
      if (c.every(v => v >= 0 && v < side)) { at = c; tell(e.buttons > 0); }
    };
    touch.addEventListener("pointermove", point);
    touch.addEventListener("pointerdown", point);
    touch.addEventListener("pointerup", () => tell(false));
    touch.addEventListener("keydown", e => {
      const way = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]}[e.key];
      if (!way) return;
      e.preventDefault();
      const n = e.shiftKey ? 10 : 1;
      at = (at || [side >> 1, side >> 1]).map((v, k) => Math.max(0, Math.min(side - 1, v + n * way[k])));
      tell(false);
    });
  }
  canvas.setAttribute("aria-label", D.map_alt);
  Object.assign(canvas.style, {left: F.x / 8.2 + "%", top: F.y / 8.2 + "%", width: F.s / 8.2 + "%", height: F.s / 8.2 + "%"});
  paint(canvas, F.css);
  const old = live.querySelector("svg");
  if (old) old.remove();
  live.insertBefore(overlay(), live.querySelector(".touch"));
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
    return el("td", {class: "h"}, bar(p), el("span", {class: "n"}, pct(v)), r ? el("small", null, bare(r[0]) === bare(r[1]) ? bare(r[0]) : bare(r[0]) + " to " + bare(r[1])) : null);
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
    el("div", null, el("p", null, el("b", null, "How sure"), el("br"), r ? between(r[0], r[1]) + " with 8 in 10 chance." : ok(p.snr_p90) && ok(p.snr_p10) ? "8 of 10 hours lie from " + minus(p.snr_p90) + " to " + sign(p.snr_p10) + " dB; how far the models err comes on top." : "A middle value only: no range over time in this chain."), doubts(p))));
  if (p.flags) box.append(el("p", null, el("small", null, "Note: " + p.flags + ".")));
  const pic = picture(l);
  if (pic) box.append(pic);
  box.append(el("h3", null, "Where the signal goes"), waterfall(l), byTime(p));
  const pair = distinct("season").length > 1 ? S.map((s, i) => [s, i]).filter(([s]) => ["variant", "height_m", "power_dbm"].every(k => s[k] === S[state.scenario][k])) : [];
  if (pair.length > 1) box.append(el("p", null, el("b", null, "Trees: "), pair.map(([s, i]) => seasons[s.season] + " " + (D.timed ? pct(path(l, i).heard_percent) : sign(path(l, i).snr_p50) + " dB")).join(", ") + "."));
  box.append(el("p", null, el("small", null, (g.line_of_sight ? "Line of sight. " : "No line of sight. ") + "Least clearance " + minus(g.clearance_m, 1) + " m (" + minus(g.clearance_f1, 1) + " first zones) at " + km(g.worst_point_km) + " km. Point to " + deg(g.back_bearing_deg) + "°, " + sign(g.back_elevation_deg, 2) + "° up.")));
  if (w.card) {
    box.append(el("h3", null, "Card, for " + D.card_scenario), cardOf(w), copyButton("Copy the card", w.card));
  }
  return box;
}
/* Sources of doubt, largest first; they add as squares. */
const sources = {power: "transmitter power", pattern: "antenna patterns", model: "the models of the way", foliage: "trees", ear: "the operator's ear"};
function doubts(p) {
  const all = Object.entries((p.spread || {}).sigmas || {}).filter(([, v]) => v.sigma_db >= .05).sort((a, b) => b[1].sigma_db - a[1].sigma_db);
  if (!all.length) return null;
  return el("ol", {class: "doubt"}, all.map(([k, v]) => el("li", {title: v.basis}, (sources[k] || k) + ": ±" + v.sigma_db.toFixed(1) + "\u00a0dB")));
}
function cardOf(w) {
  const box = el("div", {class: "card items"});
  let rows = null, under = w.name;
  for (const [kind, name, text] of w.card_items || []) {
    if (kind === "r") {
      if (!rows) { rows = el("tbody"); box.append(el("table", {"aria-label": under}, rows)); }
      rows.append(el("tr", null, el("th", {scope: "row"}, name), el("td", null, text)));
      continue;
    }
    rows = null;
    if (kind === "h") under = text;
    box.append(kind === "h" ? el("h4", null, text) : el("p", null, text));
  }
  return box;
}
function copyButton(word, text) {
  const b = el("button", {type: "button", class: "btn"}, word);
  b.addEventListener("click", () => navigator.clipboard && navigator.clipboard.writeText(text).then(() => { b.textContent = "Copied"; }));
  return b;
}
/* Wider than a phone: it begins at the listener's end. */
function scrolled(img) {
  const box = el("div", {class: "plate scroll", tabindex: 0, role: "group", "aria-label": "Profile, may be scrolled sideways"}, img);
  const end = () => { box.scrollLeft = box.scrollWidth; };
  img.addEventListener("load", end);
  requestAnimationFrame(end);
  return box;
}
function picture(l) {
  const id = String(l + 1).padStart(4, "0") + "-" + S[state.scenario].name, node = $("p-" + id);
  if (node) return scrolled(el("img", {src: "data:image/png;base64," + node.textContent, width: 1600, height: 930, alt: "Path profile from the beacon to " + D.listeners[l].name}));
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
  const W = Math.min(1000, room($("table"), 82)), phone = W < 640, left = phone ? 6 : 320, span = phone ? W - 106 : W - 440, step = phone ? 48 : 32, top = phone ? 50 : 34;
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

/* --- charts -------------------------------------------------------------------------------------------- */
/* Width in px for a chart in `box`, less what stands around it; letters are never scaled. */
const room = (box, less) => Math.max(280, (state.print ? 640 : box.clientWidth || innerWidth - 32) - less);
const lineOf = pts => pts.map((p, i) => (i ? "L" : "M") + p[0].toFixed(1) + " " + p[1].toFixed(1)).join("");
const NEEDS = [[6, "voice +6"], [-15, "Morse −15"], [-28, "digital −28"]]; /* bounds of the steps of level */

/* Small boxes of one scale side by side. Each: {name, shape, note, say, draw(g, X, Y)}; the first of a row names the needs. */
function boxes(container, list, axis, lo, hi, extra) {
  const W = room(container, 34), wide = W > 560, across = W > 900 ? 4 : wide ? 3 : 2, left = wide ? 84 : 6, gap = 18, bw = (W - left - 6 - gap * (across - 1)) / across, head = 44, bh = 128, row = head + bh + 32;
  const g = sv("svg", {viewBox: `0 0 ${W} ${row * Math.ceil(list.length / across)}`, width: W});
  list.forEach((b, n) => {
    const x0 = left + (n % across) * (bw + gap), y0 = Math.floor(n / across) * row + head, first = n % across === 0;
    const X = u => x0 + u * bw, Y = v => y0 + (hi - v) / (hi - lo) * bh, one = sv("g", {role: "img", "aria-label": b.say}), over = sv("g");
    for (const [db, word] of NEEDS) if (db < hi - 1 && db > lo + 1) {
      one.append(sv("line", {x1: x0, x2: x0 + bw, y1: Y(db), y2: Y(db), class: "dots"}));
      if (first) over.append(wide ? txt(left - 8, Y(db) + 4.5, "sec end", word) : txt(x0, Y(db) - 3, "sec halo", word));
    }
    one.append(sv("line", {x1: x0, x2: x0 + bw, y1: y0 + bh, y2: y0 + bh, class: "axis"}));
    b.draw(one, X, Y, over, n === 0);
    axis.forEach(([u, word], i) => one.append(txt(X(u), y0 + bh + 17, "sec " + (i === 0 ? "" : i === axis.length - 1 ? "end" : "mid"), word)));
    const letters = Math.floor((bw - 20) / 8.4);
    one.append(sv("use", {href: "#m-" + b.shape, x: x0, y: y0 - 42, width: 14, height: 14, class: "mark"}), txt(x0 + 19, y0 - 30, "b", cut(b.name, letters)), txt(x0 + 19, y0 - 13, "sec", b.note), over);
    g.append(one);
  });
  return el("div", {class: "plate chart"}, g, el("small", null, extra));
}
function empty(id) {
  const box = $(id);
  for (const n of [...box.children].slice(1)) n.remove();
  return box;
}
function reveal(id) { $(id).hidden = document.querySelector(`nav a[href="#${id}"]`).hidden = false; }

/* --- heights ------------------------------------------------------------------------------------------- */
function heights() {
  const box = empty("height"), all = D.heights || [], group = all.find(h => h.scenarios.includes(state.scenario)) || all[0];
  if (!group) return;
  reveal("height");
  $("h-h").textContent = "Height: " + group.title;
  box.append(el("p", null, "Each box is one listener. Where the line is flat, more height buys nothing. Trees: " + seasons[S[group.scenarios[0]].season] + "."));
  const hs = group.scenarios.map(s => S[s].height_m), h0 = hs[0], h1 = hs[hs.length - 1], U = h => (h - h0) / (h1 - h0), snr = (l, k) => group.scenarios.map(s => path(l, s)[k]);
  const gain = l => { const v = snr(l, "snr_p50"); return ok(v[0]) ? Math.max(...v.filter(ok)) - v[0] : -1; };
  const list = D.listeners.map((_, l) => l).filter(l => gain(l) >= 0).sort((a, b) => gain(b) - gain(a) || a - b), few = list.slice(0, 12);
  const values = few.flatMap(l => ["snr_p50", "snr_p90", "snr_p10"].flatMap(k => snr(l, k).filter(ok))), lo = Math.min(-34, ...values), hi = Math.max(12, ...values);
  const items = few.map(l => {
    const mid = snr(l, "snr_p50"), knee = group.knees[l];
    return {name: D.listeners[l].name, shape: path(l).shape, note: gain(l) >= 1 ? sign(gain(l)) + " dB to " + hs[knee] + " m" : "no gain",
      say: D.listeners[l].name + ": " + mid.map((v, i) => hs[i] + " m " + (ok(v) ? minus(v) + " dB" : "no answer")).join(", "),
      draw(g, X, Y, over, first) {
        const up = snr(l, "snr_p10"), down = snr(l, "snr_p90"), pts = a => a.map((v, i) => [X(U(hs[i])), Y(v)]);
        if (up.every(ok) && down.every(ok)) g.append(sv("path", {d: lineOf(pts(up).concat(pts(down).reverse())) + "Z", class: "zone"}));
        if (group.stop !== null) {
          const x = X(U(hs[group.stop]));
          g.append(sv("line", {x1: x, x2: x, y1: Y(hi), y2: Y(lo), class: "dash"}));
          if (first) over.append(txt(x + (U(hs[group.stop]) > .5 ? -5 : 5), Y(lo) - 7, "b halo " + (U(hs[group.stop]) > .5 ? "end" : ""), hs[group.stop] + " m"));
        }
        g.append(sv("path", {d: lineOf(pts(mid).filter(p => ok(p[1]))), class: "line"}));
        if (ok(mid[knee])) g.append(sv("circle", {cx: X(U(hs[knee])), cy: Y(mid[knee]), r: 4.5, class: "stop"}));
      }};
  });
  box.append(boxes(box, items, [[0, h0 + ""], [1, h1 + " m"]], lo, hi, "Signal over noise in 2500 Hz, dB, against the height of the beacon antenna above ground. Line: middle value; band: 8 of 10 hours; circle: within 1 dB of its best" + (group.stop !== null ? "; dashed: enough." : ".")));
  if (list.length > 12) box.append(el("p", null, el("small", null, "and " + (list.length - 12) + " who gain " + (gain(list[12]) < 1 ? "less than 1 dB" : "less") + ".")));
  box.append(el("h3", null, "Listeners who hear it " + (D.timed ? "half the year" : "")), hearers(box, group, hs));
}
/* One line a mode: how many have the signal it needs, half of the time; and in their own mode. Modes with one line share it. */
function hearers(box, group, hs) {
  const W = Math.min(820, room(box, 34)), right = W > 640 ? 250 : 150, left = 34, H = 240, top = 14, base = H - 46, n = D.listeners.length;
  const x = h => left + (h - hs[0]) / (hs[hs.length - 1] - hs[0]) * (W - left - right), most = Math.max(n, 1), y = v => base - v / most * (base - top);
  const lines = [{words: ["in their own mode"], own: true, counts: group.scenarios.map(s => S[s].listeners_heard)}];
  D.steps.level.forEach((step, k) => {
    if (k === 0 || k === D.steps.level.length - 1) return; /* nothing, and louder than any mode needs */
    const counts = group.scenarios.map(s => D.listeners.filter((_, l) => stepOf("level", path(l, s).snr_p50) >= k).length), same = lines.find(m => !m.own && m.counts.join() === counts.join());
    if (same) same.words.push(step.word); else lines.push({words: [step.word], counts});
  });
  const g = sv("svg", {viewBox: `0 0 ${W} ${H}`, width: W, role: "img", "aria-label": "Listeners hearing it, by height: " + lines.map(m => m.words.join(", ") + " " + m.counts.map((c, i) => c + " at " + hs[i] + " m").join(", ")).join("; ")});
  const tick = most > 20 ? 10 : most > 8 ? 5 : 2;
  for (let v = 0; v <= most; v += tick) g.append(sv("line", {x1: left, x2: W - right, y1: y(v), y2: y(v), class: v ? "grid" : "axis"}), txt(left - 6, y(v) + 4.5, "sec end", v));
  hs.forEach((h, i) => { if (i === 0 || i === hs.length - 1 || W / hs.length > 46 || i % 2 === 0) g.append(txt(x(h), base + 18, "sec mid", h)); });
  g.append(txt((left + W - right) / 2, base + 38, "sec mid", W > 640 ? "height of the beacon antenna above ground, m" : "height above ground, m"));
  if (group.stop !== null) g.append(sv("line", {x1: x(hs[group.stop]), x2: x(hs[group.stop]), y1: top, y2: base, class: "dash"}));
  const end = m => m.counts[m.counts.length - 1];
  const order = lines.slice().sort((a, b) => end(b) - end(a)), places = order.map(m => y(end(m)) + 4.5);
  for (let i = 1; i < places.length; i++) places[i] = Math.max(places[i], places[i - 1] + 17);
  for (let i = places.length - 1, low = base + 4; i >= 0; low = places[i] - 17, i--) places[i] = Math.min(places[i], low);
  for (const m of order) {
    const at = places[order.indexOf(m)];
    g.append(sv("path", {d: lineOf(m.counts.map((c, i) => [x(hs[i]), y(c)])), class: "line" + (m.own ? " own" : "")}), sv("path", {class: "leader", d: `M${W - right + 3} ${y(end(m))}L${W - right + 12} ${at - 4.5}`}), txt(W - right + 16, at, m.own ? "b acc" : "", cut(m.words.join(", ") + ": " + end(m), Math.floor((right - 18) / 7.4))));
  }
  return el("div", {class: "plate chart"}, g);
}

/* --- trees ------------------------------------------------------------------------------------------------ */
function trees() {
  const box = empty("trees"), a = other(state.scenario, "season", "in-leaf"), b = other(state.scenario, "season", "out-of-leaf");
  if (a < 0 || b < 0) return;
  reveal("trees");
  const cost = l => path(l, b).snr_p50 - path(l, a).snr_p50, list = D.listeners.map((_, l) => l).filter(l => ok(cost(l))).sort((x, y) => cost(y) - cost(x)), some = list.filter(l => cost(l) >= 1);
  $("h-t").textContent = some.length ? "Trees: leaves cost " + some.length + " of " + D.listeners.length + " listeners 1 dB or more" : "Trees: leaves cost nobody 1 dB";
  if (D.timed && some.length) overTheYear(box, some.slice(0, 8), a, b);
  box.append(el("div", {class: "method"}, el("table", null, el("caption", null, "In leaf (May to October in the north) against bare, antenna at " + S[a].height_m + " m"), el("thead", null, el("tr", null, ["Listener", "leaves cost, dB", "in leaf", "bare"].map(h => el("th", {scope: "col"}, h)))),
    el("tbody", null, (some.length ? some : list.slice(0, 3)).map(l => el("tr", null, el("th", {scope: "row"}, mark(path(l, a).shape), " ", el("bdi", null, D.listeners[l].name)), el("td", null, minus(cost(l), 1)), [a, b].map(s => el("td", null, D.timed ? pct(path(l, s).heard_percent) : sign(path(l, s).snr_p50) + " dB"))))))));
  if (some.length && some.length < list.length) box.append(el("p", null, el("small", null, "and " + (list.length - some.length) + " whom leaves cost less than 1 dB.")));
}
/* What is met for so much of each season: in leaf solid, bare dashed. */
function overTheYear(box, list, a, b) {
  const points = (l, s) => { const t = path(l, s).by_time; return t.time_percent.map((p, i) => [p, t.snr_2500hz_db[i]]).filter(p => p[0] >= 1 && p[0] <= 99 && ok(p[1])); };
  const z = p => { /* deviate of a share, A and S 26.2.23: enough for a picture */
    const q = Math.min(p, 100 - p) / 100, t = Math.sqrt(-2 * Math.log(q)), v = t - (2.515517 + .802853 * t + .010328 * t * t) / (1 + 1.432788 * t + .189269 * t * t + .001308 * t * t * t);
    return p < 50 ? -v : v;
  };
  const U = p => (z(p) - z(1)) / (z(99) - z(1)), values = list.flatMap(l => [a, b].flatMap(s => points(l, s).map(p => p[1])));
  const lo = Math.min(-34, ...values), hi = Math.max(12, ...values);
  const named = list.find(l => points(l, a).every(p => p[1] > lo + .2 * (hi - lo) && p[1] < hi - .2 * (hi - lo)));
  const items = list.map(l => ({name: D.listeners[l].name, shape: path(l, a).shape, note: "leaves cost " + (path(l, b).snr_p50 - path(l, a).snr_p50).toFixed(0) + " dB",
    say: D.listeners[l].name + ": half of the time " + minus(path(l, a).snr_p50) + " dB in leaf, " + minus(path(l, b).snr_p50) + " dB bare",
    draw(g, X, Y, over) {
      for (const [s, cls, word, dy] of [[b, " dashed", "bare", -7], [a, "", "in leaf", 16]]) {
        const p = points(l, s).map(q => [X(U(q[0])), Y(q[1])]);
        g.append(sv("path", {d: lineOf(p), class: "line" + cls}));
        if (l === named && p.length) over.append(txt(p[0][0] + 4, p[0][1] + dy, "halo", word));
      }
    }}));
  box.append(boxes(box, items, [[0, "1 %"], [.5, "50 %"], [1, "99 %"]], lo, hi, "Signal over noise in 2500 Hz, dB, met or bettered for that share of the season. Solid: in leaf; dashed: bare."));
}

/* --- coverage ------------------------------------------------------------------------------------------------ */
function coverage() {
  const box = $("coverage"), c = D.coverage && D.coverage[state.scenario];
  empty("coverage");
  if (!c) return;
  reveal("coverage");
  const W = Math.min(480, room(box, 34)), mid = W / 2, kind = D.timed ? "heard" : "level", steps = D.steps[kind], r = mid - 75, g = sv("svg", {viewBox: `0 0 ${W} ${W}`, width: W, role: "img", "aria-label": "Middle value by direction and distance; the squares' table says the same in figures"});
  const P = (d, a) => (mid + d * Math.sin(a * rad)).toFixed(1) + " " + (mid - d * Math.cos(a * rad)).toFixed(1);
  c.sectors.forEach((ring, s) => ring.forEach((v, k) => {
    const a0 = 15 * s, a1 = a0 + 15, d0 = r * k / 5, d1 = r * (k + 1) / 5, step = stepOf(kind, v);
    g.append(sv("path", {d: `M${P(d0, a0)}L${P(d1, a0)}A${d1} ${d1} 0 0 1 ${P(d1, a1)}L${P(d0, a1)}A${d0} ${d0} 0 0 0 ${P(d0, a0)}Z`, class: "gap" + (step < 1 ? " nil" : ""), style: step < 1 ? "" : "fill:" + steps[step].land}));
  }));
  for (let k = 1; k <= 5; k++) g.append(txt(mid + 2, mid - r * k / 5 + 12, "halo", Math.round(R * k / 5)));
  for (let a = 0; a < 360; a += 30) g.append(txt(...P(r + 57, a).split(" ").map((v, i) => +v + 4 * i), "sec mid", deg(a) + "°"));
  for (const [d, db] of [[r + 10, 0], [r + 40, 10]]) g.append(sv("circle", {cx: mid, cy: mid, r: d, class: "ring"}), txt(...P(d, 15).split(" "), "sec mid halo", db + ""));
  if (D.antenna_dbi) g.append(sv("path", {d: D.antenna_dbi.map((v, i) => (i ? "L" : "M") + P(Math.max(r + 3, Math.min(r + 47, r + 10 + 3 * v)), i * 360 / D.antenna_dbi.length)).join("") + "Z", class: "accline"}));
  D.listeners.forEach((l, i) => { if (l.km <= R) { const p = P(r * l.km / R, l.bearing_deg).split(" "); g.append(...haloed(path(i).shape, +p[0], +p[1], 12.8)); } });
  const head = ["Square", "on the map", "covered", D.timed ? "middle share" : "middle SNR", "best SNR, dB"];
  box.append(el("p", null, "By sector of 15° and fifth of the radius: the middle of all cells. Covered: heard by the standard listener more than half the year."),
    el("div", {class: "two"}, el("div", {class: "plate chart"}, g, el("small", null, "Inside: middle " + (D.timed ? "share of the year" : "signal over noise") + ", km. Line: antenna gain, 0 dBi inner to 10 dBi outer circle.")),
      el("div", {class: "method"}, el("table", null, el("caption", null, "By locator square"), el("thead", null, el("tr", null, head.map(h => el("th", {scope: "col"}, h)))),
        el("tbody", null, c.squares.map(q => el("tr", null, el("th", {scope: "row"}, q[0]), el("td", {class: "n"}, pct(q[1])), el("td", {class: "n"}, pct(q[2])), el("td", {class: "n"}, D.timed ? pct(q[3]) : ok(q[4]) ? sign(q[4]) : "–"), el("td", {class: "n"}, ok(q[5]) ? sign(q[5]) : "–"))))))));
}

/* --- method, data, settings ---------------------------------------------------------------------------------------- */
function method() {
  const i = D.inputs, box = $("method-body"), plain = v => typeof v === "number" ? String(+v.toPrecision(10)).replace("-", "−") : v === null || v === undefined ? "–" : typeof v === "object" ? (Array.isArray(v) ? v.map(plain).join(", ") : Object.entries(v).map(([k, w]) => k + " " + plain(w)).join(", ")) : String(v);
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
/* Charts and the map are drawn for the width there is, on paper for that of A4. */
let drawnFor = innerWidth, later = 0;
addEventListener("resize", () => { clearTimeout(later); later = setTimeout(() => { if (innerWidth !== drawnFor) { drawnFor = innerWidth; refresh(); } }, 200); });
for (const [when, print] of [["beforeprint", true], ["afterprint", false]]) addEventListener(when, () => { state.print = print; refresh(); });
addEventListener("scroll", current, {passive: true});
})();
