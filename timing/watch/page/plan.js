"use strict";
// What the page is given, what a person changed, and the way back. Moments are seconds of the episode's clock unless a
// name says otherwise; frames count from 0 inside and from 1 where they are shown. The page's scripts are put one behind
// the other (plan, sound, places, facts, sheet, lists, labels, hands). Nothing in them asks the network for anything.

const plan = JSON.parse(document.getElementById("plan").textContent);
const fps = plan.rate[0] / plan.rate[1];
const second = Math.round(fps); // frames in one second of the clock, as on the sheets
const length = plan.frames / fps;
const byId = (id) => document.getElementById(id);
const lineById = new Map(plan.lines.map((line) => [line.id, line]));
const songById = new Map(plan.songs.map((song) => [song.id, song]));
const SHORTEST = 0.02; // seconds that a word keeps
const STEP = 0.01; // what an arrow key moves an edge by
const FAST = 10; // so many steps with the shift key

// words: line id -> [[start, end] ...]; given: line id -> {file, start, end} in the file's clock;
// bars: song id -> {bar: moment}, bars beside a moved one too, so that they stay; left: number -> [start, end], in the
// file's clock, of a stretch of speech that is in no line
const nothing = () => ({ words: {}, given: {}, bars: {}, left: {} });
let edits = nothing();
let past = []; // {what, edits, at, line} before each change
let lastKey = null;
const saved = new Map(); // sound -> text of its label file as it was last saved
const state = { at: 0, line: null, stopAt: null, backTo: null, isLooped: false, scale: 240, doubt: -1, tapping: null, looked: new Set() };

// Steps on the same edge, one after the other, are one change: ``key`` says that it is still the same one.
function remember(what, key = null) {
  if (key !== null && key === lastKey) return;
  lastKey = key;
  past.push({ what, edits: JSON.stringify(edits), at: state.at, line: state.line });
  if (past.length > 500) past.shift();
}

function undo() {
  const before = past.pop();
  if (!before) return;
  lastKey = null;
  edits = JSON.parse(before.edits);
  state.line = before.line;
  if (!isPlaying) seek(before.at);
  say(`undone: ${before.what}`);
  refresh();
}

// What differs from the plan, one entry for each thing that can be put back by itself: {what, show, putBack}.
function corrections() {
  const found = [];
  for (const [id, words] of Object.entries(edits.words)) {
    const line = lineById.get(id);
    for (const [index, side] of movedEdges(line)) {
      const edge = wordEdge(line, index, side), was = line.words[index][side];
      found.push({
        what: `line ${id}, “${line.words[index].text}”: ${told(words[index][side === "start" ? 0 : 1] - was, side + "s")}`,
        name: `the ${side} of “${line.words[index].text}”`, show: () => showEdge(edge), putBack: () => edge.move(was),
      });
    }
  }
  for (const [id, given] of Object.entries(edits.given)) {
    found.push({
      what: `line ${id}: is ${given.file}, ${given.start.toFixed(2)} to ${given.end.toFixed(2)} s`, name: `line ${id}`,
      show: () => choose(lineById.get(id)), putBack: () => { delete edits.given[id]; },
    });
  }
  for (const [id, bars] of Object.entries(edits.bars)) {
    for (const number of movedBars(songById.get(id))) {
      const song = songById.get(id), was = song.bars[number - 1];
      found.push({
        what: `song ${id}, bar ${number}: ${was === undefined ? "told" : told(bars[number] - was, "begins")}`,
        name: `bar ${number}`, show: () => showEdge(barEdge(song, number)), putBack: () => forgetBar(song, number),
      });
    }
  }
  return found;
}

const told = (by, verb) => `${verb} ${Math.abs(by).toFixed(3)} s ${by < 0 ? "earlier" : "later"}`;
