"use strict";
// The page's whole behaviour. Moments are seconds of the episode's clock unless a name says otherwise; frames count
// from 0 inside and from 1 where they are shown. Nothing here asks the network for anything.

const plan = JSON.parse(document.getElementById("plan").textContent);
const fps = plan.rate[0] / plan.rate[1];
const second = Math.round(fps); // frames in one second of the clock, as on the sheets
const byId = (id) => document.getElementById(id);
const lineById = new Map(plan.lines.map((line) => [line.id, line]));
const SHORTEST = 0.02; // seconds that a word keeps
const STEP = 0.01; // what an arrow key moves an edge by

// --- what is kept ---------------------------------------------------------------------------------------------------

// words: line id -> [[start, end] ...]; given: line id -> {file, start, end} in the file's clock;
// bars: song id -> {bar: moment}
let edits = { words: {}, given: {}, bars: {} };
let past = [];
const saved = new Map(); // sound -> text of its label file as it was last saved
const state = { at: 0, line: null, stopAt: null, isLooped: false, scale: 240, doubt: -1, tapping: null, looked: new Set() };

function remember() {
  past.push(JSON.stringify(edits));
  if (past.length > 500) past.shift();
}

function undo() {
  if (!past.length) return;
  edits = JSON.parse(past.pop());
  say("undone");
  refresh();
}

const isUnsaved = () => labelFiles().some(([file, text]) => saved.get(file) !== text);

// --- the sound, which is also the clock -----------------------------------------------------------------------------

const audio = new Audio();
{
  const coded = atob(byId("sound").textContent.trim());
  const bytes = new Uint8Array(coded.length);
  for (let n = 0; n < coded.length; n++) bytes[n] = coded.charCodeAt(n);
  audio.src = URL.createObjectURL(new Blob([bytes], { type: "audio/mp4" }));
  audio.preservesPitch = true;
  byId("sound").textContent = "";
}
const length = plan.frames / fps;
const wave = Uint8Array.from(atob(plan.wave.values), (c) => c.charCodeAt(0));
let isPlaying = false;
let blip = 0;

function now() {
  if (isPlaying) state.at = audio.currentTime;
  return state.at;
}

function seek(moment) {
  state.at = Math.max(0, moment);
  audio.currentTime = state.at;
  draw();
}

function play(from = null, to = null) {
  clearTimeout(blip);
  if (from !== null) state.at = Math.max(0, from);
  if (from === null && state.at >= length - 0.5 / fps) state.at = 0;
  state.stopAt = to;
  audio.currentTime = state.at;
  isPlaying = true;
  audio.play().catch(() => { isPlaying = false; say("this browser cannot play the sound"); labels(); });
  labels();
  requestAnimationFrame(run);
}

function stop() {
  state.at = audio.currentTime;
  isPlaying = false;
  audio.pause();
  labels();
  draw();
}

function run() {
  if (!isPlaying) return;
  const at = now();
  const line = state.line;
  if (state.isLooped && line && at >= lineEnd(line) + 0.15) seek(lineStart(line) - 0.15);
  else if (state.stopAt !== null && at >= state.stopAt) { stop(); return; }
  else if (state.stopAt === null && (at >= length || audio.ended)) { stop(); seek(length - 1 / fps); return; }
  if (!state.isLooped && state.stopAt === null) follow(at);
  draw();
  requestAnimationFrame(run);
}

// One frame on or back, and its sound, so that the beginning of a word can be heard.
function step(frames) {
  if (isPlaying) stop();
  const frame = Math.min(plan.frames - 1, Math.max(0, frameAt(state.at) + frames));
  seek(frame / fps + 1e-5);
  follow(state.at);
  hearBriefly();
  say(`frame ${byId("frame").textContent}`);
}

function hearBriefly() {
  clearTimeout(blip);
  const back = state.at;
  audio.playbackRate = 1;
  audio.play().then(() => {
    blip = setTimeout(() => {
      if (isPlaying) return;
      audio.pause();
      audio.currentTime = back;
      audio.playbackRate = rate();
    }, Math.max(1000 / fps, 70));
  }).catch(() => {});
}

const rate = () => (byId("half").getAttribute("aria-pressed") === "true" ? 0.5 : 1);

// --- where things lie -----------------------------------------------------------------------------------------------

const frameAt = (moment) => Math.floor(moment * fps + 1e-4);
const spoken = plan.lines.filter((line) => line.words.length).sort((a, b) => a.start - b.start);
const longest = Math.max(0, ...spoken.map((line) => line.end - line.start));
const longestClip = Math.max(0, ...plan.clips.map((clip) => clip.end - clip.first));

function firstAfter(list, value, key) {
  let low = 0, high = list.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (key(list[middle]) < value) low = middle + 1; else high = middle;
  }
  return low;
}

function between(list, low, high, start, reach) {
  return list.slice(firstAfter(list, low - reach, start), firstAfter(list, high, start));
}

const clipsOn = (frame) =>
  between(plan.clips, frame, frame + 1, (clip) => clip.first, longestClip).filter((clip) => frame < clip.end);

// Two who speak at once stand beside each other.
{
  const busy = [];
  for (const line of spoken) {
    let lane = busy.findIndex((end) => end <= line.start);
    if (lane < 0) lane = busy.push(0) - 1;
    busy[lane] = line.end;
    line.lane = lane;
  }
  for (const line of spoken) {
    const together = between(spoken, line.start, line.end, (o) => o.start, longest).filter((o) => o.end > line.start);
    line.lanes = Math.max(...together.map((o) => o.lane)) + 1;
  }
}

function wordsOf(line) {
  const moved = edits.words[line.id];
  return moved ? moved : line.words.map((word) => [word.start, word.end]);
}

const lineStart = (line) => (line.words.length ? wordsOf(line)[0][0] : line.start);
const lineEnd = (line) => (line.words.length ? wordsOf(line).at(-1)[1] : line.end);

function follow(moment) {
  const clip = clipsOn(frameAt(moment))[0];
  const line = clip ? lineById.get(clip.lines.find((id) => moment < lineById.get(id).end) || clip.lines.at(-1)) : null;
  if (line && line !== state.line) choose(line, false);
}

function choose(line, isSought = true) {
  state.line = line;
  if (isSought) seek(Math.max(0, lineStart(line) - 0.25));
  showLine();
  draw();
}

// --- moving edges ---------------------------------------------------------------------------------------------------

const partOf = (line, index) => line.parts.find((part) => index >= part.from && index < part.to);
const canMove = (line, index) => !edits.given[line.id] && Boolean(partOf(line, index));
const round = (moment) => Math.round(moment * 1e6) / 1e6;

// What follows a word's edge: a neighbour that touched it goes along, and none is run over. A neighbour that is heard
// in another file, or in none, stays where it is.
function moveEdge(line, index, side, moment) {
  const words = wordsOf(line).map((word) => word.slice());
  const word = words[index], part = partOf(line, index);
  if (side === "start") {
    const before = words[index - 1], goesAlong = before && partOf(line, index - 1) === part;
    const touches = goesAlong && word[0] - before[1] < 0.001;
    const least = goesAlong ? before[0] + SHORTEST : before ? before[1] : -part.offset;
    word[0] = round(Math.min(Math.max(moment, least), word[1] - SHORTEST));
    if (goesAlong && (touches || before[1] > word[0])) before[1] = word[0];
  } else {
    const after = words[index + 1], goesAlong = after && partOf(line, index + 1) === part;
    const touches = goesAlong && after[0] - word[1] < 0.001;
    const most = goesAlong ? after[1] - SHORTEST : after ? after[0] : Infinity;
    word[1] = round(Math.max(Math.min(moment, most), word[0] + SHORTEST));
    if (goesAlong && (touches || after[0] < word[1])) after[0] = word[1];
  }
  edits.words[line.id] = words;
}

function edgeOf(line, index, side) {
  return wordsOf(line)[index][side === "start" ? 0 : 1];
}

const isMoved = (line, index) => {
  const moved = edits.words[line.id];
  return Boolean(moved) && (Math.abs(moved[index][0] - line.words[index].start) > 5e-4 ||
    Math.abs(moved[index][1] - line.words[index].end) > 5e-4);
};

// --- the sheet ------------------------------------------------------------------------------------------------------

const canvas = byId("sheet");
const pen = canvas.getContext("2d");
const INK = "#1d1c1a", FAINT = "#5d5952", RULE = "#cfc9bc", GREY = "#a7a196", MARK = "#14507d", PAPER = "#faf8f3";
const SHARES = [["clip", 0.12], ["frame", 0.14], ["sound", 0.16], ["words", 0.36], ["mouth", 0.12], ["bar.beat", 0.1]];
let size = { width: 0, height: 0 };
let columns = {};
let isAsked = false;

function measure() {
  const box = canvas.getBoundingClientRect();
  const dense = window.devicePixelRatio || 1;
  canvas.width = Math.round(box.width * dense);
  canvas.height = Math.round(box.height * dense);
  pen.setTransform(dense, 0, 0, dense, 0, 0);
  size = { width: box.width, height: box.height };
  let x = 0;
  columns = {};
  for (const [name, share] of SHARES) {
    columns[name] = [x, x + share * box.width];
    x += share * box.width;
  }
  draw();
}

const HEAD = 22;
const readingY = () => HEAD + Math.round((size.height - HEAD) * 0.34);
const yOf = (moment) => readingY() + (moment - state.at) * state.scale;
const momentAt = (y) => state.at + (y - readingY()) / state.scale;

function draw() {
  if (isAsked) return;
  isAsked = true;
  requestAnimationFrame(() => { isAsked = false; paint(); });
}

function paint() {
  if (!columns.sound) return; // not measured yet
  now();
  pen.clearRect(0, 0, size.width, size.height);
  const first = Math.max(0, momentAt(HEAD)), last = Math.min(length, momentAt(size.height));
  pen.save();
  pen.beginPath();
  pen.rect(0, HEAD, size.width, size.height - HEAD);
  pen.clip();
  paintSound(first, last);
  paintRuler(first, last);
  for (const [name, [left]] of Object.entries(columns)) {
    bar(left, yOf(0), name === "clip" || name === "words" ? 2 : 1, length * state.scale, name === "clip" ? INK : GREY);
  }
  paintClips(first, last);
  for (const line of between(spoken, first, last + 1, (l) => l.start, longest + 2)) paintLine(line);
  paintMarks(first, last);
  paintBars(first, last);
  pen.restore();
  paintHeads();
  const y = readingY(), row = Math.max(3, state.scale / fps);
  bar(0, y - 2, size.width, 2, INK);
  bar(0, y + row, size.width, 2, INK);
  showNow();
}

function bar(x, y, width, height, colour) {
  pen.fillStyle = colour;
  pen.fillRect(x, y, width, height);
}

function write(text, x, y, px, { bold = false, align = "left", colour = INK, room = 0 } = {}) {
  pen.font = `${bold ? 700 : 400} ${px}px "Sheet", "Arial Narrow", sans-serif`;
  pen.fillStyle = colour;
  pen.textAlign = align;
  if (room) while (text.length > 1 && pen.measureText(text).width > room) text = text.slice(0, -2) + "…";
  pen.fillText(text, x, y);
}

function paintHeads() {
  bar(0, 0, size.width, HEAD, PAPER);
  bar(0, HEAD - 1, size.width, 1, INK);
  for (const [name, [left, right]] of Object.entries(columns)) {
    write(name, (left + right) / 2, 15, 13, { align: "center", colour: FAINT, room: right - left });
  }
}

function paintRuler(first, last) {
  const [left, right] = columns.frame, pitch = state.scale / fps;
  const each = [1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 24, 30, 60].find((n) => n * pitch >= 15) || 60;
  for (let frame = Math.max(0, frameAt(first) - 1); frame <= Math.min(plan.frames - 1, frameAt(last) + 1); frame++) {
    const y = yOf(frame / fps), inSecond = frame % second;
    if (inSecond === 0) {
      bar(left, y, columns.sound[1] - left, 3, INK);
      write(clockOf(frame, false), left + 4, y + 16, 14, { bold: true });
    } else if (pitch >= 4) bar(right - 6, y, 6, 1, GREY);
    const clip = clipsOn(frame)[0];
    if (clip && (frame - clip.counts_from) % each === 0 && inSecond * pitch >= 20) {
      write(String(frame - clip.counts_from + 1), right - 9, y + Math.min(11, pitch + 2), 13, { align: "right" });
    }
  }
}

function paintSound(first, last) {
  const [left, right] = columns.sound, per = plan.wave.per_s, each = Math.max(1, Math.floor(per / state.scale));
  for (let n = Math.floor(first * per / each) * each; n <= last * per; n += each) {
    let value = 0;
    for (let k = n; k < n + each; k++) value = Math.max(value, wave[k] || 0);
    if (value > 3) bar(left + 1, yOf(n / per), (right - left - 4) * value / 255, state.scale * each / per + 0.5, GREY);
  }
}

function paintClips(first, last) {
  const [left, right] = columns.clip;
  for (const clip of between(plan.clips, first * fps, last * fps + 1, (c) => c.first, longestClip)) {
    const others = clipsOn(clip.first).concat(clipsOn(clip.end - 1));
    const lane = others.some((o) => o !== clip && o.first < clip.first && o.end > clip.first) ? 1 : 0;
    const x = left + 6 + lane * 12;
    const top = yOf(clip.first / fps), foot = yOf(clip.end / fps);
    for (let y = top; y < foot; y += 10) bar(x + 1, y, 2, Math.min(6, foot - y), INK);
    if (clip.kind !== "picture") bar(x, yOf(clip.speech[0]), 5, (clip.speech[1] - clip.speech[0]) * state.scale, INK);
    bar(x, top, right - x - 3, 3, INK);
    bar(x, foot - 3, right - x - 3, 3, INK);
    write(clip.id, x + 9, Math.max(top + 17, Math.min(HEAD + 16, foot - 8)), 14, { bold: true, room: right - x - 10 });
  }
}

function paintLine(line) {
  const [columnLeft, columnRight] = columns.words;
  const width = (columnRight - columnLeft) / line.lanes, words = wordsOf(line);
  const left = columnLeft + line.lane * width + 7, right = columnLeft + (line.lane + 1) * width - 5;
  const isChosen = line === state.line;
  words.forEach(([start, end], index) => {
    const word = line.words[index], top = yOf(start), foot = yOf(end);
    if (foot < HEAD || top > size.height) return;
    const shift = (moment) => start + (moment - word.start) * (end - start) / (word.end - word.start);
    bar(left, top, right - left, isChosen ? 3 : 2, isChosen ? MARK : INK);
    bar(left, foot - 1, right - left, isChosen ? 2 : 1, isChosen ? MARK : INK);
    bar(right - 2, top, 2, foot - top, INK);
    word.syllables.forEach(([text, from, to, isStressed], n) => {
      const y = yOf(shift(from)), below = yOf(shift(to));
      if (n) for (let x = left + 10; x < right; x += 8) bar(x, y, 4, 1, INK);
      bar(left, y, isStressed ? 7 : 2, below - y - (isStressed ? 2 : 0), INK);
      const shown = n + 1 < word.syllables.length && !text.endsWith("-") ? text + "-" : text;
      const px = Math.max(11, Math.min(19, below - y));
      write(shown, left + (n ? 22 : 12), y + 3 + px * 0.8, px, { bold: isStressed, room: right - left - 18 });
    });
    if (isMoved(line, index)) write("●", right - 6, top + 14, 12, { align: "right", colour: MARK });
  });
}

function paintMarks(first, last) {
  const [left] = columns.mouth, low = first * fps - 60, high = last * fps + 1;
  const isStale = (frame) => {
    const line = between(spoken, frame / fps, frame / fps + 0.001, (l) => l.start, longest)
      .find((l) => frame / fps < l.end);
    return Boolean(line && edits.words[line.id]);
  };
  for (const [start, end, isOnTeeth, lane] of between(plan.marks.closures, low, high, (m) => m[0], 60)) {
    if (isStale(start)) continue;
    const x = left + 5 + lane * 11, y = yOf(start / fps) + 1, height = (end - start) * state.scale / fps - 2;
    if (isOnTeeth) { pen.strokeStyle = INK; pen.lineWidth = 1; pen.strokeRect(x + 0.5, y + 0.5, 8, height - 1); }
    else bar(x, y, 9, height, INK);
  }
  for (const [frame, sign, lane] of between(plan.marks.vowels, low, high, (m) => m[0], 60)) {
    if (!isStale(frame)) write(sign, left + 20 + lane * 12, yOf(frame / fps) + 12, 16);
  }
}

function paintBars(first, last) {
  const [left, right] = columns["bar.beat"];
  const songAt = (moment) => plan.songs.find((song) => moment >= song.start - 0.01 && moment <= song.end + 0.01);
  for (const [frame, number, beat] of between(plan.marks.beats, first * fps, last * fps + 1, (m) => m[0], 30)) {
    const y = yOf(frame / fps), song = songAt(frame / fps);
    if (song && edits.bars[song.id]) continue;
    if (number === -1) bar(left, y, right - left, 4, INK);
    else if (beat === 0) bar(right - 8, y, 8, 1, GREY);
    else if (beat === 1) { bar(left, y, right - left, 4, INK); write(`${number}.1`, right - 4, y + 19, 15, { bold: true, align: "right" }); }
    else { bar(left + 0.4 * (right - left), y, 0.6 * (right - left), 2, INK); write(`.${beat}`, right - 4, y + 16, 13, { align: "right" }); }
  }
  for (const bars of Object.values(edits.bars)) {
    for (const [number, moment] of Object.entries(bars)) {
      if (moment < first - 1 || moment > last + 1) continue;
      bar(left, yOf(moment), right - left, 4, MARK);
      write(`● ${number}.1`, right - 4, yOf(moment) + 19, 15, { bold: true, align: "right", colour: MARK });
    }
  }
}

// --- what is true on this frame -------------------------------------------------------------------------------------

function clockOf(frame, withFrames = true) {
  const total = Math.floor(frame / second);
  const text = `${Math.floor(total / 60)}:${String(total % 60).padStart(2, "0")}`;
  return withFrames ? `${text}+${String(frame % second).padStart(String(second - 1).length, "0")}` : text;
}

let heardKey = "";

function showNow() {
  const frame = Math.min(plan.frames - 1, frameAt(state.at));
  const clips = clipsOn(frame), clip = clips[0];
  const lines = clips.flatMap((c) => c.lines.map((id) => lineById.get(id)));
  set("clip", clips.map((c) => c.id).join(" · ") || "no clip here");
  set("who", [...new Set(clips.map((c) => c.who).filter(Boolean))].join(" & ") || "–");
  set("ask", clip ? clip.ask : "–");
  set("told", [...new Set(lines.map((line) => line.told))].join(" · ") || "–");
  set("frame", clip ? `${frame - clip.counts_from + 1} of ${clip.of}` : "–");
  set("episode-frame", String(frame + 1));
  set("clock", clockOf(frame));
  set("beat", beatAt(frame));
  showHeard(lines, clip);
  if (clip) byId("jump").value = clip.id;
}

function set(id, text) {
  const place = byId(id);
  if (place.textContent !== text) place.textContent = text;
}

function beatAt(frame) {
  const beats = plan.marks.beats;
  for (let n = firstAfter(beats, frame + 1, (m) => m[0]) - 1; n >= 0; n--) {
    const [, number, beat] = beats[n];
    if (number === -1) return "–";
    if (beat > 0) return `${number}.${beat}`;
  }
  return "–";
}

function showHeard(lines, clip) {
  const place = byId("heard");
  const parts = lines.map((line) => {
    const words = wordsOf(line);
    const range = clip && clip.words && lines.length === 1 ? clip.words : [0, words.length];
    return { line, range, at: words.findIndex(([start, end]) => state.at >= start && state.at < end) };
  });
  const key = parts.map((p) => `${p.line.id}/${p.range}/${p.at}`).join(" ");
  if (key === heardKey) return;
  heardKey = key;
  place.replaceChildren();
  place.className = parts.some((p) => p.line.kind === "picture") ? "picture" : "";
  for (const { line, range, at } of parts) {
    if (line.estimated && line.words.length) place.append("~ ");
    if (!line.words.length) place.append(line.text);
    for (let n = range[0]; n < Math.min(range[1], line.words.length); n++) {
      const span = document.createElement("span");
      span.textContent = line.words[n].text;
      if (n === at) span.className = "now";
      place.append(span, " ");
    }
  }
}

function say(text) {
  byId("said").textContent = text;
}

// --- lists beside the sheet -----------------------------------------------------------------------------------------

function make(tag, { text = "", on = null, ...more } = {}) {
  const made = document.createElement(tag);
  if (text) made.textContent = text;
  for (const [name, value] of Object.entries(more)) made.setAttribute(name, value);
  if (tag === "button") made.type = "button";
  if (on) made.addEventListener("click", on);
  return made;
}

const nameOf = (line) => `Line ${line.id}${line.who ? " · " + line.who : ""}`;

function listDoubts() {
  const list = byId("doubts");
  byId("doubts-none").hidden = plan.doubts.length > 0;
  plan.doubts.forEach((doubt, n) => {
    const name = doubt.line ? nameOf(lineById.get(doubt.line)) : `Song ${doubt.song}`;
    const item = make("li");
    item.append(make("button", { text: `${name}: ${doubt.reasons.join("; ")}`, on: () => lookAt(n) }));
    list.append(item);
  });
}

function lookAt(n) {
  if (!plan.doubts.length) return;
  state.doubt = (n + plan.doubts.length) % plan.doubts.length;
  const doubt = plan.doubts[state.doubt];
  state.looked.add(state.doubt);
  byId("doubts-count").hidden = false;
  set("doubts-count", `${state.looked.size} of ${plan.doubts.length} looked at`);
  [...byId("doubts").querySelectorAll("button")].forEach((button, k) => {
    if (k === state.doubt) button.setAttribute("aria-current", "true"); else button.removeAttribute("aria-current");
  });
  if (doubt.line) {
    const line = lineById.get(doubt.line);
    choose(line);
    play(lineStart(line) - 0.25, lineEnd(line) + 0.25);
  } else seek(doubt.start);
  say(`${state.doubt + 1} of ${plan.doubts.length}: ${doubt.reasons.join("; ")}`);
}

function showLine() {
  const place = byId("line"), line = state.line;
  place.replaceChildren();
  if (!line) { place.append(make("p", { text: "No line is chosen." })); return; }
  place.append(make("h3", { text: nameOf(line) }), make("p", { text: line.text, class: "text" }));
  place.append(make("p", { text: `times: ${line.told}` }));
  const row = make("div", { class: "row" });
  row.append(make("button", { text: "Hear the line", on: hearLine }));
  if (edits.words[line.id] || edits.given[line.id]) {
    row.append(make("button", { text: "Take back what I changed here", on: () => {
      remember(); delete edits.words[line.id]; delete edits.given[line.id]; refresh(); byId("line-name").focus();
    } }));
  }
  place.append(row);
  const given = edits.given[line.id];
  if (given) place.append(make("p", { text: `You chose ${given.file} from ${given.start.toFixed(2)} s; the next run measures its words.` }));
  if (line.readings.length) place.append(readingsOf(line));
  if (!line.words.length) return;
  if (!line.words.some((word, index) => canMove(line, index))) {
    if (!given) place.append(make("p", { text: "No sound of its own: there is nothing to move. Record it, or give it a stretch of speech below." }));
    return;
  }
  place.append(make("h3", { text: "Edges of its words, seconds of the episode" }), edgesOf(line));
}

function hearLine() {
  if (state.line) play(lineStart(state.line) - 0.1, lineEnd(state.line) + 0.1);
}

function readingsOf(line) {
  const set = make("fieldset"), list = make("ul", { class: "readings" });
  set.append(make("legend", { text: "Which reading counts" }), list);
  const choices = [{ name: line.parts.length ? `${line.parts[0].file}, in use` : "in use", hear: hearLine, given: null }].concat(
    line.readings.map((r) => ({ name: `${r.file}, ${r.start.toFixed(1)} s`, given: r,
      hear: r.at === null ? null : () => play(r.at - 0.1, r.at + r.end - r.start + 0.1) })));
  choices.forEach((choice, n) => {
    const item = make("li"), row = make("div", { class: "row" }), label = make("label");
    const radio = make("input", { type: "radio", name: "reading", id: `reading-${n}` });
    const now = edits.given[line.id];
    radio.checked = choice.given ? Boolean(now) && now.file === choice.given.file && now.start === choice.given.start : !now;
    radio.addEventListener("change", () => {
      remember();
      delete edits.words[line.id];
      if (choice.given) edits.given[line.id] = { file: choice.given.file, start: choice.given.start, end: choice.given.end };
      else delete edits.given[line.id];
      refresh();
      byId(`reading-${n}`).focus();
    });
    label.append(radio, ` ${choice.name}`);
    row.append(label);
    if (choice.hear) row.append(make("button", { text: "Hear", "aria-label": `Hear ${choice.name}`, on: choice.hear }));
    item.append(row);
    list.append(item);
  });
  return set;
}

function edgesOf(line) {
  const list = make("ol", { class: "edges" });
  line.words.forEach((word, index) => {
    const item = make("li", isMoved(line, index) ? { class: "moved" } : {});
    item.append(make("span", { text: word.text, class: "word" }));
    if (canMove(line, index)) for (const side of ["start", "end"]) item.append(slider(line, index, side));
    else item.append(make("span", { text: "no sound yet" }));
    list.append(item);
  });
  return list;
}

function slider(line, index, side) {
  const made = make("div", {
    role: "slider", tabindex: "0", "aria-label": `${side} of “${line.words[index].text}”`,
    "data-word": String(index), "data-side": side,
  });
  made.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: -STEP, ArrowDown: -STEP, ArrowRight: STEP, ArrowUp: STEP, PageDown: -1 / fps, PageUp: 1 / fps }[event.key];
    if (event.key === "Enter") hearEdge(line, index, side);
    else if (by === undefined) return;
    else {
      remember();
      moveEdge(line, index, side, edgeOf(line, index, side) + by);
      seek(edgeOf(line, index, side));
      changed(line);
    }
    event.preventDefault();
    event.stopPropagation();
  });
  made.addEventListener("focus", () => { if (!isPlaying) seek(edgeOf(line, index, side)); });
  fill(made, line, index, side);
  return made;
}

function fill(made, line, index, side) {
  const moment = edgeOf(line, index, side), words = wordsOf(line);
  const low = side === "start" ? (index ? words[index - 1][0] : 0) : words[index][0];
  const high = side === "start" ? words[index][1] : index + 1 < words.length ? words[index + 1][1] : length;
  made.textContent = moment.toFixed(3);
  made.setAttribute("aria-valuemin", low.toFixed(3));
  made.setAttribute("aria-valuemax", high.toFixed(3));
  made.setAttribute("aria-valuenow", moment.toFixed(3));
  made.setAttribute("aria-valuetext", `${moment.toFixed(2)} seconds, episode frame ${frameAt(moment) + 1}`);
}

function hearEdge(line, index, side) {
  const moment = edgeOf(line, index, side);
  if (side === "start") play(moment, moment + 0.6); else play(moment - 0.6, moment);
}

// After an edge moved: the numbers of this line, without taking the focus away.
function changed(line) {
  if (line === state.line) {
    for (const made of byId("line").querySelectorAll("[role=slider]")) {
      const index = Number(made.dataset.word);
      fill(made, line, index, made.dataset.side);
      made.parentElement.classList.toggle("moved", isMoved(line, index));
    }
    if (!byId("line").querySelector(".row").children[1]) showLineKeepingFocus();
  }
  heardKey = "";
  labels();
  listFiles();
  draw();
}

function showLineKeepingFocus() {
  const active = document.activeElement, data = active ? { ...active.dataset } : {};
  showLine();
  if (data.word !== undefined) {
    byId("line").querySelector(`[data-word="${data.word}"][data-side="${data.side}"]`)?.focus();
  }
}

function listLeft() {
  byId("left-section").hidden = !plan.left.length;
  const list = byId("left");
  list.replaceChildren();
  plan.left.forEach((one, n) => {
    const item = make("li"), row = make("div", { class: "row" });
    const to = Object.keys(edits.given).find((id) => edits.given[id].file === one.file && edits.given[id].start === one.start);
    const name = `${one.file}, ${one.start.toFixed(1)} to ${one.end.toFixed(1)} s`;
    item.append(make("div", { text: to ? `${name}: given to line ${to}` : name }));
    if (one.at !== null) row.append(make("button", { text: "Hear", "aria-label": `Hear ${name}`, on: () => play(one.at - 0.1, one.at + one.end - one.start + 0.1) }));
    const select = make("select", { id: `left-${n}`, "aria-label": `Line that ${name} is` });
    const ids = [...new Set([...one.near, ...plan.lines.filter((l) => l.kind === "spoken").map((l) => l.id)])];
    for (const id of ids) {
      const line = lineById.get(id);
      select.append(make("option", { text: `${nameOf(line)}: ${line.text.slice(0, 40)}`, value: id }));
    }
    if (to) select.value = to;
    row.append(select, make("button", { text: "Give", "aria-label": `Give ${name} to that line`, on: () => {
      remember();
      delete edits.words[select.value];
      edits.given[select.value] = { file: one.file, start: one.start, end: one.end };
      say(`given to line ${select.value}`);
      refresh();
      byId(`left-${n}`).focus();
    } }));
    if (to) row.append(make("button", { text: "Take back", on: () => { remember(); delete edits.given[to]; refresh(); byId(`left-${n}`).focus(); } }));
    item.append(row);
    list.append(item);
  });
}

function listSongs() {
  const songs = plan.songs.filter((song) => song.file);
  byId("songs-section").hidden = !songs.length;
  const place = byId("songs");
  place.replaceChildren();
  for (const song of songs) {
    const bars = edits.bars[song.id] || {};
    place.append(make("h3", { text: `${song.id}: ${song.bpm} bpm, ${song.metre}, ${song.bars.length} bars` }));
    const row = make("div", { class: "row" }), label = make("label", { text: "Next tap is bar " });
    const number = make("input", { type: "number", min: "1", value: String(nextBar(song)), id: `bar-${song.id}` });
    label.append(number);
    row.append(make("button", { text: "Play the song", on: () => { state.tapping = song; play(Math.max(0, song.start)); } }), label,
      make("button", { text: "Tap (T)", on: () => { state.tapping = song; tap(); } }));
    if (Object.keys(bars).length) row.append(make("button", { text: "Forget the taps", on: () => { remember(); delete edits.bars[song.id]; refresh(); } }));
    place.append(row, make("p", { text: "Tap on the first beat of each bar while it plays; then move a tap with the arrow keys." }));
    const list = make("ol", { class: "edges" });
    for (const [bar, moment] of Object.entries(bars)) list.append(barItem(song, bar, moment));
    place.append(list);
  }
}

function nextBar(song) {
  const taps = Object.keys(edits.bars[song.id] || {}).map(Number);
  return taps.length ? Math.max(...taps) + 1 : 1;
}

function tap() {
  const moment = now();
  const song = state.tapping || plan.songs.find((s) => s.file && moment >= s.start && moment <= s.end);
  if (!song) { say("no song plays here"); return; }
  state.tapping = song;
  remember();
  const number = Number(byId(`bar-${song.id}`).value) || nextBar(song);
  edits.bars[song.id] = { ...(edits.bars[song.id] || {}), [number]: round(moment) };
  say(`bar ${number}`);
  refresh();
  byId(`bar-${song.id}`).value = String(number + 1);
}

function barItem(song, number, moment) {
  const item = make("li"), made = make("div", { role: "slider", tabindex: "0", "aria-label": `beginning of bar ${number}` });
  const fillBar = () => {
    const at = edits.bars[song.id][number];
    made.textContent = at.toFixed(3);
    made.setAttribute("aria-valuemin", song.start.toFixed(3));
    made.setAttribute("aria-valuemax", song.end.toFixed(3));
    made.setAttribute("aria-valuenow", at.toFixed(3));
    made.setAttribute("aria-valuetext", `${at.toFixed(2)} seconds`);
  };
  made.addEventListener("keydown", (event) => {
    const by = { ArrowLeft: -STEP, ArrowDown: -STEP, ArrowRight: STEP, ArrowUp: STEP, PageDown: -1 / fps, PageUp: 1 / fps }[event.key];
    if (event.key === "Enter") play(edits.bars[song.id][number], edits.bars[song.id][number] + 0.6);
    else if (by === undefined) return;
    else {
      remember();
      edits.bars[song.id][number] = round(edits.bars[song.id][number] + by);
      fillBar();
      listFiles();
      labels();
      seek(edits.bars[song.id][number]);
    }
    event.preventDefault();
    event.stopPropagation();
  });
  fillBar();
  item.append(make("span", { text: `bar ${number}`, class: "word" }), made);
  return item;
}

// --- label files ----------------------------------------------------------------------------------------------------

const bare = (text) => text.toLowerCase().replace(/[^\p{L}\p{N}]/gu, "");
const idIn = (text) => { const m = /^\s*(?:line\s+)?0*(\d+[a-z]*)\s*(?::.*)?$/is.exec(text); return m ? m[1].toUpperCase() : null; };

function parse(text) {
  return text.split(/\r?\n/).map((raw) => {
    const m = /^\s*(\S+)[\t ]\s*(\S+)[\t ]\s*(\S.*?)\s*$/.exec(raw);
    const start = m ? Number(m[1].replace(",", ".")) : NaN, end = m ? Number(m[2].replace(",", ".")) : NaN;
    return { raw, start, end, text: m && !Number.isNaN(start) ? m[3] : null };
  });
}

// Return [[sound, text of its label file]]: what lies there already, with the corrected lines and bars in place of theirs.
function labelFiles() {
  const rows = new Map(), lines = new Map(), bars = new Map();
  const add = (file, start, end, text) => {
    if (!rows.has(file)) rows.set(file, []);
    rows.get(file).push([Math.max(0, start), Math.max(0, end), text.replace(/\s+/g, " ").trim()]);
  };
  const own = (map, file, value) => map.set(file, (map.get(file) || new Set()).add(value));
  for (const [id, words] of Object.entries(edits.words)) {
    const line = lineById.get(id);
    for (const part of line.parts) {
      const numbers = words.map((word, n) => n).filter((n) => n >= part.from && n < part.to);
      if (!numbers.some((n) => isMoved(line, n))) continue;
      const to = (moment) => moment + part.offset, text = numbers.map((n) => line.words[n].text).join(" ");
      add(part.file, to(words[numbers[0]][0]), to(words[numbers.at(-1)][1]), `${id}: ${text}`);
      for (const n of numbers) add(part.file, to(words[n][0]), to(words[n][1]), line.words[n].text);
      own(lines, part.file, id.toUpperCase());
    }
  }
  for (const [id, given] of Object.entries(edits.given)) {
    add(given.file, given.start, given.end, `${id}: ${lineById.get(id).text}`);
    for (const file of new Set([given.file, ...Object.keys(plan.labels)])) own(lines, file, id.toUpperCase());
  }
  for (const [id, taps] of Object.entries(edits.bars)) {
    const song = plan.songs.find((s) => s.id === id);
    for (const [bar, moment] of Object.entries(taps)) {
      add(song.file, moment - song.start, moment - song.start, `bar ${bar}`);
      own(bars, song.file, `bar ${bar}`);
    }
  }
  const found = [];
  for (const file of [...new Set([...rows.keys(), ...lines.keys()])].sort()) {
    const before = plan.labels[file] || "", kept = keptRows(before, lines.get(file) || new Set(), bars.get(file) || new Set());
    const fresh = (rows.get(file) || []).sort((a, b) => a[0] - b[0] || b[1] - a[1])
      .map(([start, end, text]) => `${start.toFixed(6)}\t${end.toFixed(6)}\t${text}`);
    const text = [...kept, ...fresh].map((row) => row + "\n").join("");
    if (text !== before) found.push([file, text]);
  }
  return found;
}

// Everything of an older file stays, comments too, but the rows of lines and bars that are said anew.
function keptRows(text, ids, bars) {
  const parsed = parse(text);
  const known = new Set(plan.lines.map((line) => line.id.toUpperCase()));
  const gone = parsed.filter((row) => row.text && known.has(idIn(row.text)) && ids.has(idIn(row.text)));
  return parsed.filter((row) => {
    if (!row.text) return row.raw.trim() !== "";
    if (gone.includes(row) || bars.has(row.text.toLowerCase().replace(/\s+/g, " "))) return false;
    return !gone.some((line) => {
      const words = new Set((lineById.get(idIn(line.text)) || { words: [] }).words.map((word) => bare(word.text)));
      const middle = (row.start + row.end) / 2;
      return middle >= line.start && middle <= line.end && words.has(bare(row.text));
    });
  }).map((row) => row.raw);
}

const labelName = (file) => file.replace(/\.[^./]*$/, "") + ".txt";

function listFiles() {
  const list = byId("files"), files = labelFiles();
  byId("save-none").hidden = files.length > 0;
  byId("save-how").hidden = !files.length;
  list.replaceChildren();
  for (const [file, text] of files) {
    const item = make("li"), name = labelName(file);
    const is = saved.get(file) === text ? "saved" : "not saved yet";
    item.append(make("button", { text: `Save ${name}`, on: () => download(file, text) }), ` beside ${file} · ${is}`);
    list.append(item);
  }
}

function download(file, text) {
  const name = labelName(file);
  const link = make("a", { href: URL.createObjectURL(new Blob([text], { type: "text/plain;charset=utf-8" })), download: name.split("/").at(-1) });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  saved.set(file, text);
  say(`saved ${name}`);
  const index = [...byId("files").querySelectorAll("button")].indexOf(document.activeElement);
  listFiles();
  if (index >= 0) byId("files").querySelectorAll("button")[index]?.focus();
}

function saveAll() {
  const files = labelFiles();
  if (!files.length) say("nothing was corrected yet");
  for (const [file, text] of files) download(file, text);
}

// --- hands ----------------------------------------------------------------------------------------------------------

function edgeNear(x, y) {
  const [left, right] = columns.words;
  if (x < left || x > right) return null;
  let best = null, nearest = 8;
  const moment = momentAt(y);
  for (const line of between(spoken, moment - 2, moment + 2, (l) => l.start, longest + 2)) {
    const width = (right - left) / line.lanes, from = left + line.lane * width;
    if (x < from || x > from + width) continue;
    wordsOf(line).forEach(([start, end], index) => {
      if (!canMove(line, index)) return;
      for (const [side, at] of [["end", end], ["start", start]]) {
        const inside = side === "start" ? y >= yOf(at) : y <= yOf(at);
        const far = Math.abs(yOf(at) - y) + (inside ? 0 : 0.5);
        if (far < nearest) { nearest = far; best = { line, index, side }; }
      }
    });
  }
  return best;
}

let drag = null;
const placeIn = (event) => { const box = canvas.getBoundingClientRect(); return [event.clientX - box.left, event.clientY - box.top]; };

canvas.addEventListener("pointerdown", (event) => {
  const [x, y] = placeIn(event);
  if (isPlaying) stop();
  const edge = edgeNear(x, y);
  drag = { y, at: state.at, edge, isMoving: false, grip: edge ? y - yOf(edgeOf(edge.line, edge.index, edge.side)) : 0 };
  canvas.setPointerCapture(event.pointerId);
});

canvas.addEventListener("pointermove", (event) => {
  const [x, y] = placeIn(event);
  if (!drag) { canvas.style.cursor = edgeNear(x, y) ? "ns-resize" : "grab"; return; }
  if (!drag.isMoving && Math.abs(y - drag.y) < 3) return;
  if (!drag.isMoving && drag.edge) {
    remember();
    if (drag.edge.line !== state.line) choose(drag.edge.line, false);
  }
  drag.isMoving = true;
  if (drag.edge) {
    moveEdge(drag.edge.line, drag.edge.index, drag.edge.side, momentAt(y - drag.grip));
    changed(drag.edge.line);
  } else seek(Math.min(length - 1 / fps, drag.at - (y - drag.y) / state.scale));
});

canvas.addEventListener("pointerup", (event) => {
  if (drag && !drag.isMoving) {
    const moment = momentAt(placeIn(event)[1]);
    const line = between(spoken, moment, moment + 0.001, (l) => l.start, longest + 1).findLast((l) => moment < lineEnd(l));
    if (line) choose(line, false);
  } else if (drag && !drag.edge) follow(state.at);
  drag = null;
});
canvas.addEventListener("pointercancel", () => { drag = null; });

canvas.addEventListener("wheel", (event) => {
  event.preventDefault();
  if (isPlaying) stop();
  seek(Math.min(length - 1 / fps, state.at + event.deltaY / state.scale));
  follow(state.at);
}, { passive: false });

function neighbour(by) {
  const order = plan.lines.slice().sort((a, b) => a.start - b.start);
  const at = state.line ? order.indexOf(state.line) : -1;
  const line = order[Math.min(order.length - 1, Math.max(0, at + by))];
  if (!line) return;
  if (isPlaying) stop();
  choose(line);
  say(`${nameOf(line)}: ${line.text}`);
}

function toggle(id) {
  const button = byId(id), isOn = button.getAttribute("aria-pressed") !== "true";
  button.setAttribute("aria-pressed", String(isOn));
  if (id === "half") audio.playbackRate = rate();
  if (id === "loop") {
    state.isLooped = isOn;
    state.stopAt = null;
    if (isOn && state.line && !isPlaying) play(lineStart(state.line) - 0.15);
  }
}

function zoom(by) {
  state.scale = Math.min(1200, Math.max(60, state.scale * by));
  draw();
}

const letters = {
  h: () => toggle("half"), l: () => toggle("loop"), r: hearLine, n: () => lookAt(state.doubt + 1), t: tap, u: undo, s: saveAll,
  e: () => byId("line").querySelector("[role=slider]")?.focus(),
};

document.addEventListener("keydown", (event) => {
  const tag = event.target.tagName, key = event.key.toLowerCase();
  if ((event.ctrlKey || event.metaKey) && key === "z") { event.preventDefault(); undo(); return; }
  if (event.ctrlKey || event.metaKey || event.altKey || tag === "SELECT" || (tag === "INPUT" && event.target.type !== "checkbox")) return;
  if (key === " " && (tag === "BUTTON" || tag === "INPUT")) return;
  const own = { " ": () => (isPlaying ? stop() : play()), arrowleft: () => step(-1), arrowright: () => step(1), arrowup: () => neighbour(-1), arrowdown: () => neighbour(1) }[key];
  const action = own || (byId("letters").checked ? letters[key] : null);
  if (!action) return;
  if (key.startsWith("arrow") && event.target !== canvas && event.target !== document.body) return;
  event.preventDefault();
  action();
});

window.addEventListener("beforeunload", (event) => { if (isUnsaved()) event.preventDefault(); });

function labels() {
  set("play", isPlaying ? "Stop" : "Play");
  byId("undo").disabled = !past.length;
}

function refresh() {
  heardKey = "";
  labels();
  showLineKeepingFocus();
  listLeft();
  listSongs();
  listFiles();
  draw();
}

function begin() {
  document.title = `${plan.title}: proof`;
  set("title", plan.title);
  set("about", `${plan.clips.length} clips, ${plan.lines.length} lines, ${length.toFixed(1)} s, ${plan.frames} frames at ${(Math.round(fps * 1000) / 1000)} a second`);
  for (const clip of plan.clips) byId("jump").append(make("option", { text: `${clip.id} ${clip.who}`, value: clip.id }));
  byId("jump").addEventListener("change", (event) => {
    const clip = plan.clips.find((c) => c.id === event.target.value);
    if (isPlaying) stop();
    seek(clip.first / fps + 1e-5);
    choose(lineById.get(clip.lines[0]), false);
  });
  const does = { play: () => (isPlaying ? stop() : play()), back: () => step(-1), on: () => step(1), half: () => toggle("half"),
    loop: () => toggle("loop"), before: () => neighbour(-1), after: () => neighbour(1), closer: () => zoom(1.5), wider: () => zoom(1 / 1.5), undo };
  for (const [id, action] of Object.entries(does)) byId(id).addEventListener("click", action);
  byId("line-name").tabIndex = -1;
  listDoubts();
  new ResizeObserver(measure).observe(canvas);
  document.fonts.ready.then(draw);
  if (plan.lines.length) choose(plan.lines[0], false);
  refresh();
}

begin();
