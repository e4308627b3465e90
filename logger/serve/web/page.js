/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The live page. Three events come (state.h tells what is in them); each is whole in itself.
 *
 * What comes from outside goes into the page as text (textContent), never as markup.
 */
"use strict";

const at = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";
/* The server gives a sign every 10 s; after so long without one the line is dead. */
const SILENT_MS = 25000;
const RETRY_MS = 3000;
const RING_AGAIN_MS = 15000;
const WORDS = ["glass on", "glass off", "stirred", "re-aimed", "lid off", "lid on"];

const last = { state: null, curve: null, told: null };
let source = null, heardMs = 0, sound = null, alarm = null, known = null, ringing = 0;
const seenFindings = new Set();

/* --- small helpers ------------------------------------------------------------------------ */

function element(name, text, kind) {
  const made = document.createElement(name);
  if (text !== undefined) made.textContent = text;
  if (kind) made.className = kind;
  return made;
}

function say(id, text) {
  const node = at(id);
  if (node.textContent !== text) node.textContent = text;
  node.hidden = text === "";
}

function refill(id, nodes) {
  at(id).replaceChildren(...nodes);
}

/* At most one decimal, and none where it is 0. */
function round(value) {
  return String(Math.round(value * 10) / 10);
}

/* What is told in plain letters, set in signs: a minus, units, the names of the results. */
function pretty(text) {
  return text.replace(/\bdeg([CF])\b/g, "\u00b0$1").replace(/\b(m|ft)2\b/g, "$1\u00b2")
    .replace(/\+-/g, "\u00b1").replace(/(^|[ (])-(?=[0-9])/g, "$1\u2212")
    .replace(/\beta0\b/g, "\u03b7\u2080").replace(/\ba1\b/g, "a\u2081");
}

/* --- the numbers -------------------------------------------------------------------------- */

function showState(s) {
  say("title", s.title);
  say("state", s.state);
  at("state").className = s.strange ? "strange" : "";
  say("value", s.water);
  at("value").className = s.water.length > 4 ? "long" : "";
  say("unit", s.unit);
  say("rate", s.rate);
  say("heat", s.heat ? s.heat + " into the water" : "");
  say("target", s.target);
  say("warning", alarm === "scald" && !at("alarm").hidden ? "" : s.warning);
  say("supply", [s.trouble, s.supply].filter((words) => words).join("; "));
  document.title = s.water + " " + s.unit + " " + s.title;
  const tiles = [];
  if (s.sun) tiles.push(element("p", s.sun));
  if (s.pump) tiles.push(element("p", s.pump, s.stopped ? "stopped" : ""));
  for (const c of s.channels)
    if (c.name === "flow") tiles.push(element("p", "flow " + c.now + " " + c.unit));
  refill("now", tiles);
  showChannels(s.channels);
  at("open-note").hidden = !s.recording || !mayWrite();
  at("open-target").hidden = !mayWrite();
  watchForAlarm(s);
}

function showChannels(channels) {
  const rows = channels.map((c) => {
    const row = element("tr");
    row.append(element("td", c.name), element("td", c.now + " " + c.unit), element("td", c.remark));
    return row;
  });
  at("channels").tBodies[0].replaceChildren(...rows);
}

/* --- what the record tells ----------------------------------------------------------------- */

function showTold(t) {
  const told = t.efficiency.map((text) => element("p", pretty(text)));
  t.stop.forEach((text) => told.push(element("p", pretty(text), "stop")));
  if (t.why_not) told.push(element("p", "no estimate: " + pretty(t.why_not)));
  if (t.grade === "doubtful") told.push(element("p", "This record is doubtful.", "stop"));
  refill("told", told);
  showFindings();
  const notes = t.notes.slice().reverse().map((n) => {
    const row = element("li", undefined, n.kind === "note" ? "" : "machine");
    row.append(element("time", n.at), element("span", n.kind === "note" ? n.text : n.kind + ": " + n.text));
    return row;
  });
  refill("notes", notes);
}

/* Faults and doubts stand there; mere notes are folded away. A channel that misbehaves now is one
 * of the former. */
function showFindings() {
  const list = [];
  for (const c of last.state ? last.state.channels : [])
    if (c.remark) list.push({ severity: "doubt", text: c.name + ": " + c.remark });
  for (const f of last.told ? last.told.findings : []) list.push(f);
  const make = (f) => {
    const p = element("p", undefined, f.severity);
    if (f.severity !== "note") p.append(element("b", f.severity), " ");
    p.append(pretty(f.text));
    if (seenFindings.size > 0 && !seenFindings.has(f.text)) p.classList.add("fresh");
    return p;
  };
  const grave = list.filter((f) => f.severity !== "note").map(make);
  const light = list.filter((f) => f.severity === "note");
  const key = JSON.stringify(list);
  if (at("findings").dataset.key === key) return;
  at("findings").dataset.key = key;
  if (light.length > 0) {
    const fold = element("details");
    fold.append(element("summary", light.length === 1 ? "1 remark on the record" : light.length + " remarks on the record"));
    light.forEach((f) => fold.append(make(f)));
    grave.push(fold);
  }
  refill("findings", grave);
  list.forEach((f) => seenFindings.add(f.text));
}

/* --- the curve ------------------------------------------------------------------------------ */

function draw(svg, name, attributes, text) {
  const node = document.createElementNS(SVG, name);
  for (const key in attributes) node.setAttribute(key, attributes[key]);
  if (text !== undefined) node.textContent = text;
  svg.append(node);
  return node;
}

/* A step of 1, 2 or 5 times a power of ten, at most `most` of them over a span. */
function niceStep(span, most) {
  const raw = span / most, power = 10 ** Math.floor(Math.log10(raw));
  return power * [1, 2, 5, 10].find((f) => f * power >= raw);
}

/* Steps of a clock, in minutes. */
function timeStep(minutes, most) {
  return [1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 1440].find((s) => minutes / s <= most) || 2880;
}

/* A path with true gaps where there is no reading. */
function linePath(values, x, y) {
  let path = "", pen = "M";
  values.forEach((value, i) => {
    if (value === null) { pen = "M"; return; }
    path += pen + x(i).toFixed(1) + " " + y(value).toFixed(1);
    pen = "L";
  });
  return path;
}

function limits(c, ahead, target) {
  const all = [];
  for (const list of [c.store, c.air, c.outlet]) for (const v of list || []) if (v !== null) all.push(v);
  for (const p of ahead) all.push(p[1], p[2], p[3]);
  if (all.length === 0) return null;
  let low = Math.min(...all), high = Math.max(...all);
  if (target !== null && target > low && target < high + 60) high = Math.max(high, target + 1);
  if (high - low < 4) { low -= 2; high += 2; }
  return { low: low - 0.03 * (high - low), high: high + 0.06 * (high - low) };
}

function showCurve() {
  const c = last.curve, s = last.state, svg = at("curve");
  svg.replaceChildren();
  if (!c || !s || !c.store) return;
  const width = svg.clientWidth || 360, height = svg.clientHeight || 240;
  svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
  const box = { left: 34, right: width - 8, top: 10, bottom: height - 24 };
  const range = limits(c, s.forecast, s.target_value);
  if (!range) return;
  const aheadS = s.forecast.length ? s.forecast[s.forecast.length - 1][0] : 0;
  const endS = Math.max(c.store.length * c.span_s, aheadS, 60);
  const xs = (t) => box.left + (t / endS) * (box.right - box.left);
  const x = (i) => xs((i + 0.5) * c.span_s);
  const y = (v) => box.bottom - ((v - range.low) / (range.high - range.low)) * (box.bottom - box.top);
  drawAxes(svg, box, range, endS, xs, y);
  if (c.sun) drawSun(svg, c, box, x);
  drawTarget(svg, s, box, range, y);
  if (c.air) draw(svg, "path", { class: "air", d: linePath(c.air, x, y) });
  if (c.outlet) draw(svg, "path", { class: "outlet", d: linePath(c.outlet, x, y) });
  if (s.forecast.length) drawAhead(svg, s.forecast, xs, y);
  draw(svg, "path", { class: "store", d: linePath(c.store, x, y) });
  drawNotes(svg, box, endS, xs);
  svg.setAttribute("aria-label", `the water's temperature over the run: now ${s.water} ${s.unit}, ${s.rate}`);
  const legend = [["store", "water"], ["outlet", "outlet"], ["air", "air"], ["sun", "sun"]]
    .filter((l) => c[l[0]]).map((l) => element("span", l[1], l[0]));
  if (at("legend").childElementCount !== legend.length) refill("legend", legend);
}

function drawAxes(svg, box, range, endS, xs, y) {
  const step = niceStep(range.high - range.low, 5), minutes = timeStep(endS / 60, 6);
  for (let v = Math.ceil(range.low / step) * step; v <= range.high; v += step) {
    draw(svg, "line", { class: "grid", x1: box.left, x2: box.right, y1: y(v), y2: y(v) });
    draw(svg, "text", { x: box.left - 6, y: y(v) + 4, "text-anchor": "end" }, round(v));
  }
  for (let m = 0; m * 60 <= endS; m += minutes) {
    const word = m % 60 === 0 && minutes >= 60 ? m / 60 + " h" : String(m);
    const last = (m + minutes) * 60 > endS;
    const near = xs(m * 60) > box.right - 20;
    draw(svg, "text", { x: xs(m * 60), y: box.bottom + 18, "text-anchor": near ? "end" : m === 0 ? "start" : "middle" },
         last && minutes < 60 ? word + " min" : word);
  }
}

/* The sun lies low under the curve, on a scale of its own from zero. */
function drawSun(svg, c, box, x) {
  const full = Math.max(c.sun_unit.startsWith("W") ? 1000 : 317, ...c.sun.filter((v) => v !== null));
  const y = (v) => box.bottom - (Math.max(v, 0) / full) * 0.42 * (box.bottom - box.top);
  let path = "", first = null, end = null;
  const close = () => { if (first !== null) path += `L${x(end).toFixed(1)} ${box.bottom}L${x(first).toFixed(1)} ${box.bottom}Z`; first = null; };
  c.sun.forEach((v, i) => {
    if (v === null) { close(); return; }
    path += (first === null ? "M" : "L") + x(i).toFixed(1) + " " + y(v).toFixed(1);
    if (first === null) first = i;
    end = i;
  });
  close();
  draw(svg, "path", { class: "sun", d: path });
}

function drawTarget(svg, s, box, range, y) {
  const v = s.target_value;
  if (v === null || v < range.low || v > range.high) return;
  draw(svg, "line", { class: "target", x1: box.left, x2: box.right, y1: y(v), y2: y(v) });
  const below = y(v) < box.top + 16;
  draw(svg, "text", { class: "target-word", x: box.left + 6, y: y(v) + (below ? 16 : -6) },
       "target " + round(v) + " " + s.unit);
}

function drawAhead(svg, points, xs, y) {
  const up = points.map((p) => xs(p[0]).toFixed(1) + " " + y(p[3]).toFixed(1));
  const down = points.map((p) => xs(p[0]).toFixed(1) + " " + y(p[2]).toFixed(1)).reverse();
  draw(svg, "path", { class: "band", d: "M" + up.concat(down).join("L") + "Z" });
  draw(svg, "path", { class: "ahead", d: "M" + points.map((p) => xs(p[0]).toFixed(1) + " " + y(p[1]).toFixed(1)).join("L") });
}

/* A person's notes as strokes on the time axis. */
function drawNotes(svg, box, endS, xs) {
  for (const n of last.told ? last.told.notes : [])
    if (n.kind === "note" && n.s <= endS) {
      const mark = draw(svg, "line", { class: "note", x1: xs(n.s), x2: xs(n.s), y1: box.bottom - 8, y2: box.bottom + 3 });
      draw(mark, "title", {}, n.at + " " + n.text);
    }
}

/* --- ringing ------------------------------------------------------------------------------- */

/* Three tones and a shake. A browser lets a page do either only after it was tapped once. */
function ring() {
  if (navigator.vibrate) navigator.vibrate([400, 200, 400, 200, 800]);
  if (!sound) return;
  [0, 0.45, 0.9].forEach((delay) => {
    const tone = sound.createOscillator(), volume = sound.createGain(), start = sound.currentTime + delay;
    tone.type = "square";
    tone.frequency.value = alarm === "scald" ? 1180 : 880;
    volume.gain.setValueAtTime(0.25, start);
    volume.gain.exponentialRampToValueAtTime(0.001, start + 0.35);
    tone.connect(volume).connect(sound.destination);
    tone.start(start);
    tone.stop(start + 0.36);
  });
}

function raise(kind, text) {
  alarm = kind;
  at("alarm").className = kind;
  at("alarm-text").textContent = text;
  at("alarm").hidden = false;
  clearInterval(ringing);
  ringing = setInterval(ring, RING_AGAIN_MS);
  ring();
}

/* Rings when something becomes true while the page is open, also while the line was down. */
function watchForAlarm(s) {
  const before = known;
  known = { scald: s.scald, reached: s.reached, value: s.target_value };
  if (!s.recording || !before) return;
  if (s.scald && !before.scald) raise("scald", s.warning || "This water scalds.");
  else if (s.reached && !(before.reached && before.value === s.target_value)) raise("reached", `The water has reached ${round(s.target_value)} ${s.unit}.`);
}

function toggleSound() {
  const Context = window.AudioContext || window.webkitAudioContext;
  if (sound) {
    sound.close();
    sound = null;
  } else if (Context) {
    sound = new Context();
    sound.resume();
    ring();
  }
  at("sound").setAttribute("aria-pressed", sound ? "true" : "false");
  at("sound").textContent = sound ? "Sound on" : "Sound off";
}

/* The screen stays on where the browser allows it (only over https or on this computer). */
function stayAwake() {
  if (navigator.wakeLock && document.visibilityState === "visible")
    navigator.wakeLock.request("screen").catch(() => {});
}

/* --- the line ------------------------------------------------------------------------------- */

function token() {
  const given = location.hash.slice(1);
  try {
    if (/^[0-9a-f]{32}$/.test(given)) localStorage.setItem("token", given);
    return localStorage.getItem("token") || given;
  } catch {
    return given; /* no storage: as long as the address stays */
  }
}

function mayWrite() {
  return token() !== "" || /^(localhost|127\..*|\[::1\])$/.test(location.hostname);
}

function heard(topic, show) {
  source.addEventListener(topic, (event) => {
    heardMs = Date.now();
    last[topic] = JSON.parse(event.data);
    show(last[topic]);
    if (topic !== "told") showFindings();
    showCurve();
  });
}

function connect() {
  if (source) source.close();
  source = new EventSource("/events");
  heardMs = Date.now();
  heard("state", showState);
  heard("curve", () => {});
  heard("told", showTold);
}

function watchLine() {
  const silent = Date.now() - heardMs, open = source && source.readyState === EventSource.OPEN;
  const lost = !open || silent > SILENT_MS;
  document.body.classList.toggle("stale", lost);
  say("lost", lost && last.state ? "no connection for " + Math.round(silent / 1000) + " s; trying again" : "");
  if (!source || source.readyState === EventSource.CLOSED || silent > SILENT_MS) connectLater();
}

let waiting = 0;
function connectLater() {
  if (Date.now() - waiting < RETRY_MS) return;
  waiting = Date.now();
  const since = heardMs;
  connect();
  heardMs = since; /* until something is heard */
}

async function write(path, text) {
  const headers = { Noonrun: "1", "Content-Type": "text/plain" };
  if (token()) headers.Authorization = "Bearer " + token();
  try {
    const answer = await fetch(path, { method: "POST", headers, body: text, cache: "no-store" });
    return answer.ok ? "" : (await answer.text()).trim();
  } catch {
    return "no connection: not written";
  }
}

/* --- what is tapped ------------------------------------------------------------------------- */

async function writeFrom(box, path, text) {
  const said = box.querySelector(".said");
  said.textContent = "";
  const trouble = await write(path, text);
  said.textContent = trouble;
  if (!trouble) {
    box.querySelector("input").value = "";
    box.close();
  }
}

function prepareBox(box, submit) {
  box.querySelector(".cancel").addEventListener("click", () => box.close());
  box.querySelector("form").addEventListener("submit", (event) => {
    event.preventDefault();
    submit(box.querySelector("input").value.trim());
  });
}

function prepare() {
  const noteBox = at("note-box"), targetBox = at("target-box");
  const tap = (text, path, body) => {
    const button = element("button", text);
    button.type = "button";
    button.addEventListener("click", () => writeFrom(noteBox, path, body));
    return button;
  };
  refill("words", WORDS.map((w) => tap(w, "/note", w)).concat([tap("pump on", "/pump", "on"), tap("pump off", "/pump", "off")]));
  prepareBox(noteBox, (text) => { if (text) writeFrom(noteBox, "/note", text); });
  prepareBox(targetBox, (text) => writeFrom(targetBox, "/target", text));
  at("open-note").addEventListener("click", () => noteBox.showModal());
  at("open-target").addEventListener("click", () => {
    const s = last.state;
    at("target-text").value = s && s.target_value !== null ? round(s.target_value) + s.unit.slice(-1) : "";
    targetBox.showModal();
  });
  at("sound").addEventListener("click", toggleSound);
  at("alarm-ok").addEventListener("click", () => {
    clearInterval(ringing);
    at("alarm").hidden = true;
    if (last.state) say("warning", last.state.warning);
  });
  window.addEventListener("resize", showCurve);
  document.addEventListener("visibilitychange", () => { stayAwake(); watchLine(); });
}

prepare();
stayAwake();
connect();
setInterval(watchLine, 1000);
