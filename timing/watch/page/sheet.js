// --- the sheet ------------------------------------------------------------------------------------------------------

const canvas = byId("sheet");
const pen = canvas.getContext("2d");
const INK = "#1d1c1a", FAINT = "#5d5952", GREY = "#a7a196", MARK = "#14507d", SHEET = "#faf8f3", GROUND = "#f1eee6";
const SHARES = [["clip", 0.12], ["frame", 0.14], ["sound", 0.16], ["words", 0.36], ["mouth", 0.11], ["bar.beat", 0.11]];
let size = { width: 0, height: 0 };
let columns = {};
let isAsked = false;
let held = null; // the edge under the pointer, or in its hand

const doubtful = new Map(); // line id -> its doubtful words
for (const doubt of plan.doubts) if (doubt.line && doubt.words.length) doubtful.set(doubt.line, new Set(doubt.words));
const isDoubtful = (line, index) => Boolean(doubtful.get(line.id)?.has(index));

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
  bar(0, 0, size.width, size.height, GROUND); // where there is no sheet
  const first = Math.max(0, momentAt(HEAD)), last = Math.min(soundEnd, momentAt(size.height));
  pen.save();
  pen.beginPath();
  pen.rect(0, HEAD, size.width, size.height - HEAD);
  pen.clip();
  const sheets = [[0, length], ...spare.map((one) => [one.at - one.start + one.low, one.at - one.start + one.high])]
    .filter(([from, to]) => from < last && to > first);
  for (const [from, to] of sheets) {
    bar(0, yOf(from), size.width, (to - from) * state.scale, SHEET);
    paintSound(Math.max(from, first), Math.min(to, last));
    for (const [name, [left]] of Object.entries(columns)) {
      bar(left, yOf(from), name === "clip" || name === "words" ? 2 : 1, (to - from) * state.scale, name === "clip" ? INK : GREY);
    }
  }
  paintRuler(first, Math.min(last, length));
  paintClips(first, last);
  for (const line of between(spoken, first, last + 1, (l) => l.start, longest + 2)) paintLine(line);
  for (const song of plan.songs) paintBars(song, first, last);
  for (const one of spare) paintSpare(one, first, last);
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
  bar(0, 0, size.width, HEAD, SHEET);
  bar(0, HEAD - 1, size.width, 1, INK);
  for (const [name, [left, right]] of Object.entries(columns)) {
    write(name, (left + right) / 2, 15, 13, { align: "center", colour: FAINT, room: right - left });
  }
}

// Frames and seconds of each clip, as on paper; between clips the episode's.
function paintRuler(first, last) {
  const [left, right] = columns.frame, pitch = state.scale / fps;
  const each = [1, 2, 3, 4, 5, 6, 10, 12, 15, 20, 24, 30, 60].find((n) => n * pitch >= 15) || 60;
  for (let frame = Math.max(0, frameAt(first) - 1); frame <= Math.min(plan.frames - 1, frameAt(last) + 1); frame++) {
    const y = yOf(frame / fps), clip = clipsOn(frame)[0];
    const number = clip ? frame - clip.counts_from : frame, inSecond = number % second;
    if (clip && inSecond === 0) {
      bar(left, y, columns.sound[1] - left, 3, INK);
      write(clockOf(number, false), left + 4, y + 16, 14, { bold: true });
    } else if (pitch >= 4) bar(right - 6, y, 6, 1, GREY);
    if (clip && (inSecond === 0 ? pitch >= 15 : number % each === 0 && inSecond * pitch >= 16)) {
      write(String(number + 1), right - 9, y + Math.min(11, pitch + 2), 13, { align: "right" });
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
  const ink = line === state.line ? MARK : INK, heavy = line === state.line ? 1 : 0;
  words.forEach(([start, end], index) => {
    const word = line.words[index], top = yOf(start), foot = yOf(end);
    if (foot < HEAD || top > size.height) return;
    bar(left, top, right - left, 2 + heavy, ink);
    bar(left, foot - 1, right - left, 1 + heavy, ink);
    bar(right - 2, top, 2, foot - top, INK);
    word.syllables.forEach(([text, from, to, isStressed], n) => {
      const y = yOf(shifted(line, index, from)), below = yOf(shifted(line, index, to));
      if (n) for (let x = left + 10; x < right; x += 8) bar(x, y, 4, 1, INK);
      bar(left, y, isStressed ? 7 : 2, below - y - (isStressed ? 2 : 0), INK);
      const shown = n + 1 < word.syllables.length && !text.endsWith("-") ? text + "-" : text;
      const px = Math.max(11, Math.min(19, below - y));
      write(shown, left + (n ? 22 : 12), y + 3 + px * 0.8, px, { bold: isStressed, room: right - left - 34 });
    });
    const signs = (isMoved(line, index) ? "●" : "") + (isDoubtful(line, index) ? "?" : "");
    if (signs) write(signs, right - 6, top + Math.min(17, Math.max(12, foot - top)), 17, { bold: true, align: "right", colour: MARK });
    if (isDoubtful(line, index)) {
      for (let y = top + 3; y < foot - 3; y += 8) bar(right + 1, y, 3, Math.min(5, foot - 3 - y), MARK);
    }
    paintMouth(line, index);
  });
  if (held && held.line === line) grip(columnLeft, columnRight);
}

// The mouth of a word: where the plan has it, or stretched with a word that was moved.
function paintMouth(line, index) {
  const [left] = columns.mouth, isStretched = isMoved(line, index), [start, end] = wordsOf(line)[index];
  for (const [sign, isOnTeeth, frame, until, from, to] of line.words[index].mouth) {
    let a = frame, b = until;
    if (isStretched) {
      const low = frameEdge(start), high = Math.max(low + 1, frameEdge(end));
      a = Math.min(Math.max(frameEdge(shifted(line, index, from)), low), high - 1);
      b = Math.min(Math.max(frameEdge(shifted(line, index, to)), a + 1), high);
    }
    const y = yOf(a / fps), height = (b - a) * state.scale / fps - 2;
    if (sign) write(sign, left + 20 + line.lane * 12, y + 12, 16);
    else if (isOnTeeth) { pen.strokeStyle = INK; pen.lineWidth = 1; pen.strokeRect(left + 5.5 + line.lane * 11, y + 1.5, 8, Math.max(1, height - 1)); }
    else bar(left + 5 + line.lane * 11, y + 1, 9, height, INK);
  }
}

function paintBars(song, first, last) {
  const [left, right] = columns["bar.beat"];
  for (const [frame, number, beat] of between(beatsNow(song), first * fps, last * fps + 1, (b) => b[0], 30)) {
    const y = yOf(frame / fps);
    if (number === -1) bar(left, y, right - left, 4, INK);
    else if (beat === 0) bar(right - 8, y, 8, 1, GREY);
    else if (beat > 1) { bar(left + 0.4 * (right - left), y, 0.6 * (right - left), 2, INK); write(`.${beat}`, right - 4, y + 16, 13, { align: "right" }); }
    else if (!movedBars(song).includes(number)) paintBar(song, number, y, INK, "");
  }
  for (const number of movedBars(song)) paintBar(song, number, yOf(barMoment(song, number)), MARK, "●");
  if (held && held.song === song) grip(left, right);
}

function paintBar(song, number, y, colour, sign) {
  const [left, right] = columns["bar.beat"];
  bar(left, y, right - left, 4, colour);
  write(`${sign}${number}.1`, right - 4, y + 19, 15, { bold: true, align: "right", colour });
}

// Speech that is in no line: a sheet of its own behind the episode.
function paintSpare(one, first, last) {
  const [start, end] = leftOf(one).map((moment) => moment - one.start + one.at);
  if (end < first || start > last) return;
  const [left, right] = columns.words, given = givenTo(one.n), top = yOf(start), foot = yOf(end);
  bar(left + 7, top, right - left - 12, 3, MARK);
  bar(left + 7, foot - 2, right - left - 12, 2, MARK);
  for (const x of [left + 7, right - 7]) bar(x, top, 2, foot - top, MARK);
  write(given ? `line ${given}` : "in no line", left + 14, top + 20, 16, { bold: true, room: right - left - 24 });
  write(`${leftOf(one).map((moment) => moment.toFixed(2)).join(" to ")} s`, left + 14, top + 39, 14, { room: right - left - 24 });
  if (held && held.left === one) grip(left, right);
}

// The edge that the pointer is on: a hand for it at both ends.
function grip(left, right) {
  const y = yOf(held.at());
  bar(left, y - 1, right - left, 3, MARK);
  for (const x of [left, right - 7]) bar(x, y - 5, 7, 11, MARK);
}
