// --- where things lie -----------------------------------------------------------------------------------------------

const frameAt = (moment) => Math.floor(moment * fps + 1e-4); // the frame that is seen
const frameEdge = (moment) => Math.floor(moment * fps + 0.5 + 1e-9); // the frame edge nearest to it, as on the sheets
const round = (moment) => Math.round(moment * 1e6) / 1e6;
const spoken = plan.lines.filter((line) => line.words.length).sort((a, b) => a.start - b.start);
const longest = Math.max(0, ...spoken.map((line) => line.end - line.start));
const longestClip = Math.max(0, ...plan.clips.map((clip) => clip.end - clip.first));
plan.left.forEach((one, n) => { one.n = n; });
const spare = plan.left.filter((one) => one.at !== null);

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

// Where a moment lies in a sound, in whose seconds label files are written: {file, at}, or null.
function inSound(moment) {
  const line = between(spoken, moment, moment + 0.001, (l) => l.start, longest).find((l) => moment < lineEnd(l));
  if (line) {
    const index = wordsOf(line).findIndex(([, end]) => moment < end), part = index < 0 ? null : partOf(line, index);
    if (part) return { file: part.file, at: moment + part.offset };
  }
  const song = plan.songs.find((s) => s.file && moment >= s.start && moment <= s.end);
  if (song) return { file: song.file, at: moment - song.start };
  const one = spare.find((s) => moment >= s.at - s.start + s.low && moment <= s.at - s.start + s.high);
  return one ? { file: one.file, at: moment - one.at + one.start } : null;
}

const fileName = (file) => file.split("/").at(-1);

// A frame's number as on paper: counted from 1 at the first frame of its clip.
function paperFrame(frame) {
  const clip = clipsOn(frame)[0];
  return clip ? frame - clip.counts_from + 1 : frame + 1;
}

// --- words ----------------------------------------------------------------------------------------------------------

const partOf = (line, index) => line.parts.find((part) => index >= part.from && index < part.to);
const canMove = (line, index) => !edits.given[line.id] && Boolean(partOf(line, index));
const edgeOf = (line, index, side) => wordsOf(line)[index][side === "start" ? 0 : 1];
const touch = (a, b) => Math.abs(a - b) < 0.001;

// What follows a word's edge: a neighbour that touched it goes along, and none is run over. A neighbour that is heard
// in another file, or in none, stays where it is.
function moveWord(line, index, side, moment) {
  const words = wordsOf(line).map((word) => word.slice());
  const word = words[index], part = partOf(line, index);
  if (side === "start") {
    const before = words[index - 1], goesAlong = before && partOf(line, index - 1) === part;
    const touches = goesAlong && touch(word[0], before[1]);
    const least = goesAlong ? before[0] + SHORTEST : before ? before[1] : -part.offset;
    word[0] = round(Math.min(Math.max(moment, least), word[1] - SHORTEST));
    if (goesAlong && (touches || before[1] > word[0])) before[1] = word[0];
  } else {
    const after = words[index + 1], goesAlong = after && partOf(line, index + 1) === part;
    const touches = goesAlong && touch(after[0], word[1]);
    const most = goesAlong ? after[1] - SHORTEST : after ? after[0] : Infinity;
    word[1] = round(Math.max(Math.min(moment, most), word[0] + SHORTEST));
    if (goesAlong && (touches || after[0] < word[1])) after[0] = word[1];
  }
  edits.words[line.id] = words;
  if (!line.words.some((_, n) => isMoved(line, n))) delete edits.words[line.id];
}

const hasMoved = (line, index, side) => Math.abs(edgeOf(line, index, side) - line.words[index][side]) > 5e-4;
const isMoved = (line, index) => Boolean(edits.words[line.id]) && (hasMoved(line, index, "start") || hasMoved(line, index, "end"));

// Two words that touch share an edge: it is the start of the later one.
function movedEdges(line) {
  const found = [];
  line.words.forEach((word, n) => {
    const next = line.words[n + 1];
    const isShared = next && touch(word.end, next.start) && touch(edgeOf(line, n, "end"), edgeOf(line, n + 1, "start"));
    if (hasMoved(line, n, "start")) found.push([n, "start"]);
    if (hasMoved(line, n, "end") && !isShared) found.push([n, "end"]);
  });
  return found;
}

// Where a moment of the plan lies now: a word's syllables and sounds stretch with it, as in the next run.
function shifted(line, index, moment) {
  const word = line.words[index], [start, end] = wordsOf(line)[index];
  return start + (moment - word.start) * (end - start) / (word.end - word.start);
}

// --- bars -----------------------------------------------------------------------------------------------------------

// Bars that a person placed: here, or in the label file that lies beside the song already.
function anchorsOf(song) {
  const rows = parse(plan.labels[song.file] || "").map((row) => /^bar\s+(\d+)$/i.exec(row.text || "")).filter(Boolean);
  const bars = { ...Object.fromEntries(rows.map((m) => [m[1], song.bars[m[1] - 1]])), ...edits.bars[song.id] };
  return Object.entries(bars).map(([number, moment]) => [song.bars[number - 1], moment])
    .filter(([was, moment]) => was !== undefined && moment !== undefined).sort((a, b) => a[0] - b[0]);
}

// Between two placed bars what lies there moves in proportion; before the first and after the last one it keeps its distance.
function songMoment(song, moment, anchors = anchorsOf(song)) {
  if (!edits.bars[song.id] || !anchors.length) return moment;
  const next = anchors.findIndex(([was]) => was >= moment);
  if (next < 1) {
    const [was, is] = next < 0 ? anchors.at(-1) : anchors[0];
    return moment + is - was;
  }
  const [[a, newA], [b, newB]] = [anchors[next - 1], anchors[next]];
  return newA + (moment - a) * (newB - newA) / (b - a);
}

const barMoment = (song, number) => edits.bars[song.id]?.[number] ?? songMoment(song, song.bars[number - 1]);
const barCount = (song) => Math.max(song.bars.length, ...Object.keys(edits.bars[song.id] || {}).map(Number));

// The bars beside a moved one stay where they are: they are said too.
function moveBar(song, number, moment) {
  const beside = [number - 1, number + 1].filter((n) => n >= 1 && n <= barCount(song)).map((n) => [n, barMoment(song, n)]);
  const [low, high] = [beside.find(([n]) => n < number), beside.find(([n]) => n > number)];
  const least = low ? low[1] + SHORTEST : song.start, most = high ? high[1] - SHORTEST : song.end;
  const own = { ...edits.bars[song.id] };
  for (const [n, at] of beside) own[n] ??= round(at);
  own[number] = round(Math.min(Math.max(moment, least), most));
  edits.bars[song.id] = own;
  tidyBars(song);
}

function movedBars(song) {
  const bars = edits.bars[song.id] || {};
  return Object.keys(bars).map(Number).filter((n) => song.bars[n - 1] === undefined || Math.abs(bars[n] - song.bars[n - 1]) > 5e-4);
}

function forgetBar(song, number) {
  const was = song.bars[number - 1];
  if (was === undefined) delete edits.bars[song.id][number]; else edits.bars[song.id][number] = was;
  tidyBars(song);
}

function tidyBars(song) {
  beatsOf.delete(song.id);
  if (!movedBars(song).length) delete edits.bars[song.id];
}

const beatsOf = new Map(); // song id -> its beats as they lie now, [frame, bar, beat]; made when asked for

function beatsNow(song) {
  if (!edits.bars[song.id]) return song.beats;
  if (!beatsOf.has(song.id)) {
    const anchors = anchorsOf(song);
    beatsOf.set(song.id, song.beats.map(([, bar, beat, at]) => [frameEdge(songMoment(song, at, anchors)), bar, beat]));
  }
  return beatsOf.get(song.id);
}

// --- what can be moved ----------------------------------------------------------------------------------------------
// An edge knows where it lies (at), how it is moved, between what, what it is called, and where it lies in its sound.

function wordEdge(line, index, side) {
  const words = () => wordsOf(line), part = partOf(line, index);
  return {
    key: `word ${line.id} ${index} ${side}`, name: `${side} of “${line.words[index].text}”`, line, side,
    at: () => edgeOf(line, index, side), move: (moment) => moveWord(line, index, side, moment),
    range: () => side === "start" ? [index ? words()[index - 1][0] : -part.offset, words()[index][1]]
      : [words()[index][0], index + 1 < words().length ? words()[index + 1][1] : soundEnd],
    file: part?.file, offset: part?.offset, isMoved: () => isMoved(line, index),
  };
}

function barEdge(song, number) {
  return {
    key: `bar ${song.id} ${number}`, name: `beginning of bar ${number}`, song, side: "start",
    at: () => barMoment(song, number), move: (moment) => moveBar(song, number, moment),
    range: () => [number > 1 ? barMoment(song, number - 1) : song.start, number < barCount(song) ? barMoment(song, number + 1) : song.end],
    file: song.file, offset: -song.start, isMoved: () => movedBars(song).includes(number),
  };
}

const leftOf = (one) => edits.left[one.n] || [one.start, one.end];

function leftEdge(one, side) {
  const offset = one.start - one.at, index = side === "start" ? 0 : 1;
  return {
    key: `left ${one.n} ${side}`, name: `${side} of the stretch`, left: one, side,
    at: () => leftOf(one)[index] - offset,
    move: (moment) => {
      const own = leftOf(one).slice(), [low, high] = side === "start" ? [one.low, own[1] - 0.1] : [own[0] + 0.1, one.high];
      own[index] = round(Math.min(Math.max(moment + offset, low), high));
      edits.left[one.n] = own;
      for (const given of Object.values(edits.given)) if (given.left === one.n) [given.start, given.end] = own;
    },
    range: () => [one.low - offset, one.high - offset], file: one.file, offset,
    isMoved: () => Boolean(edits.left[one.n]),
  };
}
