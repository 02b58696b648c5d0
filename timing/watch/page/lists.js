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

// To the very word that is doubtful, heard with what stands around it.
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
    const line = lineById.get(doubt.line), words = wordsOf(line);
    choose(line, false);
    if (doubt.words.length) {
      const from = words[doubt.words[0]][0], to = words[doubt.words.at(-1)][1];
      play(Math.max(lineStart(line) - 0.25, from - 0.6), Math.min(lineEnd(line) + 0.25, to + 0.4), from);
      byId("line").querySelector(".doubtful")?.scrollIntoView({ block: "nearest" });
    } else play(lineStart(line) - 0.25, lineEnd(line) + 0.25, lineStart(line));
  } else seek(doubt.start);
  say(`${state.doubt + 1} of ${plan.doubts.length}: ${doubt.reasons.join("; ")}`);
}

function showLine() {
  const place = byId("line"), line = state.line;
  place.replaceChildren();
  if (!line) { place.append(make("p", { text: "No line is chosen." })); return; }
  place.append(make("h3", { text: nameOf(line) }), make("p", { text: line.text, class: "text" }));
  place.append(make("p", { text: `times: ${line.told}`, class: "aside" }));
  const row = make("div", { class: "row" });
  row.append(make("button", { text: "Hear the line", on: hearLine }));
  if (edits.words[line.id] || edits.given[line.id]) {
    row.append(make("button", { text: "Put the whole line back", on: () => {
      remember(`line ${line.id} put back`);
      delete edits.words[line.id];
      delete edits.given[line.id];
      refresh();
      byId("line-name").focus();
    } }));
  }
  place.append(row);
  const given = edits.given[line.id];
  if (given) place.append(make("p", { text: `You chose ${given.file}, ${given.start.toFixed(2)} to ${given.end.toFixed(2)} s; the next run measures its words.` }));
  if (line.readings.length) place.append(readingsOf(line));
  if (!line.words.length) return;
  if (!line.words.some((word, index) => canMove(line, index))) {
    if (!given) place.append(make("p", { text: "No sound of its own: there is nothing to move. Record it, or give it a stretch of speech below." }));
    return;
  }
  const files = [...new Set(line.parts.map((part) => fileName(part.file)))].join(", ");
  place.append(make("h3", { text: "Where its words begin and end" }), make("p", { text: `seconds of ${files}; frames of the clip`, class: "aside" }), edgesOf(line));
}

function hearLine() {
  if (state.line) play(lineStart(state.line) - 0.1, lineEnd(state.line) + 0.1, state.at);
}

function readingsOf(line) {
  const set = make("fieldset"), list = make("ul", { class: "plain" });
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
      remember(`reading of line ${line.id}`);
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
    const item = make("li", isDoubtful(line, index) ? { class: "doubtful" } : {});
    item.append(make("button", { text: word.text, class: "word", tabindex: "-1", "aria-label": `Hear “${word.text}”`, "data-at": `word-${index}`, on: () => hearWord(line, index) }));
    if (canMove(line, index)) for (const side of ["start", "end"]) item.append(slider(wordEdge(line, index, side), { word: index, side }));
    else item.append(make("span", { text: "no sound yet" }));
    item.append(make("span", { class: "frames" }));
    list.append(item);
    markItem(item, line, index);
  });
  return list;
}

function hearWord(line, index) {
  const [start, end] = wordsOf(line)[index];
  play(start - 0.15, end + 0.1, start);
}

function markItem(item, line, index) {
  item.classList.toggle("moved", isMoved(line, index));
  const [start, end] = wordsOf(line)[index], first = frameEdge(start), after = Math.max(first + 1, frameEdge(end));
  item.querySelector(".frames").textContent = `${paperFrame(first)}–${paperFrame(first) + after - first - 1}`;
}

// A number that arrow keys move: an edge by hundredths of a second or by frames.
function slider(edge, data = {}) {
  const made = make("div", { role: "slider", tabindex: "0", "aria-label": edge.name });
  Object.assign(made.dataset, data, { edge: edge.key });
  made.edge = edge;
  made.addEventListener("keydown", (event) => {
    const arrow = { ArrowLeft: -STEP, ArrowDown: -STEP, ArrowRight: STEP, ArrowUp: STEP }[event.key];
    const by = arrow ? arrow * (event.shiftKey ? FAST : 1) : { PageDown: -1 / fps, PageUp: 1 / fps }[event.key];
    if (event.key === "Enter") hearEdge(edge);
    else if (by === undefined) return;
    else {
      remember(`${edge.name} moved`, edge.key);
      edge.move(edge.at() + by);
      if (isPlaying) stop();
      seek(edge.at());
      changed();
    }
    event.preventDefault();
    event.stopPropagation();
  });
  made.addEventListener("focus", () => { if (!isPlaying) seek(edge.at()); });
  made.addEventListener("blur", () => { lastKey = null; });
  fill(made);
  return made;
}

function fill(made) {
  const { edge } = made, moment = edge.at(), [low, high] = edge.range();
  made.textContent = (moment + edge.offset).toFixed(3);
  made.setAttribute("aria-valuemin", (low + edge.offset).toFixed(3));
  made.setAttribute("aria-valuemax", (high + edge.offset).toFixed(3));
  made.setAttribute("aria-valuenow", (moment + edge.offset).toFixed(3));
  const frame = edge.left ? "" : `, frame ${paperFrame(frameEdge(moment) - (edge.side === "end" ? 1 : 0))} of the clip`;
  made.setAttribute("aria-valuetext", `${(moment + edge.offset).toFixed(2)} seconds of ${fileName(edge.file)}${frame}`);
  made.classList.toggle("moved", edge.isMoved());
}

function hearEdge(edge) {
  const moment = edge.at();
  if (edge.side === "start") play(moment, moment + 0.6, moment); else play(moment - 0.6, moment, moment);
}

function showEdge(edge) {
  if (isPlaying) stop();
  if (edge.line) choose(edge.line, false);
  seek(edge.at());
}

// After an edge moved: the numbers everywhere, without taking the focus away.
function changed() {
  for (const made of document.querySelectorAll("[role=slider]")) fill(made);
  if (state.line) byId("line").querySelectorAll(".edges li").forEach((item, index) => markItem(item, state.line, index));
  const isBack = byId("line").querySelector(".row")?.children.length > 1;
  if (state.line && isBack !== Boolean(edits.words[state.line.id] || edits.given[state.line.id])) keepingFocus(showLine);
  heardKey = "";
  byId("where").hidden = true;
  labels();
  keepingFocus(listCorrections);
  draw();
}

function keepingFocus(change) {
  const active = document.activeElement, edge = active?.dataset.edge, id = active?.id, at = active?.dataset.at;
  const key = lastKey;
  change();
  if (document.activeElement === active || active === document.body) return;
  const again = edge ? [...document.querySelectorAll("[data-edge]")].find((one) => one.dataset.edge === edge)
    : id ? byId(id) : at ? document.querySelector(`[data-at="${at}"]`) : null;
  again?.focus({ preventScroll: true });
  lastKey = key; // the hand is still on the same edge
}

const givenTo = (n) => Object.keys(edits.given).find((id) => edits.given[id].left === n);

function listLeft() {
  byId("left-section").hidden = !plan.left.length;
  const list = byId("left");
  list.replaceChildren();
  plan.left.forEach((one, n) => {
    const item = make("li"), row = make("div", { class: "row" }), giving = make("div", { class: "row" });
    const to = givenTo(n), name = `${fileName(one.file)}, ${one.start.toFixed(1)} to ${one.end.toFixed(1)} s`;
    item.append(make("div", { text: to ? `${name}: given to line ${to}` : name, class: "word" }));
    if (one.at !== null) {
      row.append(make("button", { text: "Hear", "aria-label": `Hear ${name}`, id: `hear-${n}`, on: () => {
        const [start, end] = leftOf(one);
        play(start - one.start + one.at - 0.1, end - one.start + one.at + 0.1, start - one.start + one.at);
      } }));
      row.append("from", slider(leftEdge(one, "start")), "to", slider(leftEdge(one, "end")), "s");
    }
    const select = make("select", { id: `left-${n}`, "aria-label": `Line that ${name} is` });
    const ids = [...new Set([...one.near, ...plan.lines.filter((l) => l.kind === "spoken").map((l) => l.id)])];
    for (const id of ids) {
      const line = lineById.get(id);
      select.append(make("option", { text: `${nameOf(line)}: ${line.text.slice(0, 40)}`, value: id }));
    }
    if (!to && !one.near.length) select.prepend(make("option", { text: "which line?", value: "" }));
    select.value = to || one.near[0] || "";
    giving.append("is", select, make("button", { text: to ? "Give again" : "Give it to that line", id: `give-${n}`, on: () => {
      if (!select.value) { say("choose the line first"); select.focus(); return; }
      remember(`a stretch given to line ${select.value}`);
      if (to) delete edits.given[to];
      delete edits.words[select.value];
      const [start, end] = leftOf(one);
      edits.given[select.value] = { file: one.file, start, end, left: n };
      say(`given to line ${select.value}`);
      refresh();
    } }));
    if (to) giving.append(make("button", { text: "Take back", id: `take-${n}`, on: () => {
      remember(`a stretch taken back from line ${to}`);
      delete edits.given[to];
      refresh();
      byId(`left-${n}`).focus();
    } }));
    item.append(row, giving);
    list.append(item);
  });
}

function listSongs() {
  const songs = plan.songs.filter((song) => song.file);
  byId("songs-section").hidden = !songs.length;
  const place = byId("songs"), open = new Set([...place.querySelectorAll("details[open]")].map((one) => one.id));
  place.replaceChildren();
  for (const song of songs) {
    place.append(make("h3", { text: `${song.id}: ${song.bpm} bpm, ${song.metre}, ${song.bars.length} bars` }));
    const row = make("div", { class: "row" }), label = make("label", { text: "Next tap is bar " });
    const number = make("input", { type: "number", min: "1", value: String(nextBar(song)), id: `bar-${song.id}` });
    label.append(number);
    row.append(make("button", { text: "Play the song", id: `play-${song.id}`, on: () => { state.tapping = song; play(Math.max(0, song.start)); } }), label,
      make("button", { text: "Tap (T)", id: `tap-${song.id}`, on: () => { state.tapping = song; tap(); } }));
    if (edits.bars[song.id]) row.append(make("button", { text: "Put the bars back", on: () => {
      remember("bars put back");
      delete edits.bars[song.id];
      refresh();
      byId(`play-${song.id}`).focus();
    } }));
    place.append(make("p", { text: "One bar is wrong: drag its line in the last column of the sheet, or move it here. All are: tap on the first beat of each bar while the song plays." }), row);
    const one = make("details", { id: `bars-${song.id}` }), list = make("ol", { class: "edges narrow" });
    if (open.has(one.id)) one.open = true;
    one.append(make("summary", { text: `Bar by bar, seconds of ${fileName(song.file)}` }), list);
    for (let bar = 1; bar <= barCount(song); bar++) {
      if (song.bars[bar - 1] === undefined && edits.bars[song.id]?.[bar] === undefined) continue;
      const item = make("li");
      const edge = barEdge(song, bar);
      item.append(make("button", { text: `bar ${bar}`, class: "word", tabindex: "-1", "aria-label": `Hear bar ${bar}`, "data-at": `bar-${song.id}-${bar}`, on: () => hearEdge(edge) }), slider(edge));
      list.append(item);
    }
    place.append(one);
  }
}

function nextBar(song) {
  const taps = movedBars(song);
  return taps.length ? Math.max(...taps) + 1 : 1;
}

function tap() {
  const moment = now();
  const song = state.tapping || plan.songs.find((s) => s.file && moment >= s.start && moment <= s.end);
  if (!song) { say("no song plays here"); return; }
  state.tapping = song;
  const number = Number(byId(`bar-${song.id}`).value) || nextBar(song);
  remember(`bar ${number} tapped`);
  edits.bars[song.id] = { ...(edits.bars[song.id] || {}), [number]: round(moment) };
  say(`bar ${number}`);
  refresh();
  byId(`bar-${song.id}`).value = String(number + 1);
}

function listCorrections() {
  const list = byId("corrections"), found = corrections();
  list.replaceChildren();
  found.forEach((one, n) => {
    const item = make("li"), row = make("div", { class: "row" });
    row.append(make("button", { text: "Show", "aria-label": `Show ${one.name}`, "data-at": `show-${n}`, on: one.show }),
      make("button", { text: "Put back", "aria-label": `Put ${one.name} back`, "data-at": `back-${n}`, on: () => {
        remember(`${one.name} put back`);
        one.putBack();
        say(`${one.name} put back`);
        refresh();
        (byId("corrections").querySelector("button") || byId("save-name")).focus();
      } }));
    item.append(make("span", { text: one.what }), row);
    list.append(item);
  });
  byId("save-none").hidden = found.length > 0;
  listFiles(found.length);
}
