// --- hands ----------------------------------------------------------------------------------------------------------

function edgeNear(x, y) {
  const moment = momentAt(y);
  let best = null, nearest = 8;
  const offer = (edge) => {
    const inside = edge.side === "start" ? y >= yOf(edge.at()) : y <= yOf(edge.at());
    const far = Math.abs(yOf(edge.at()) - y) + (inside ? 0 : 0.5);
    if (far < nearest) { nearest = far; best = edge; }
  };
  const [left, right] = columns.words;
  if (x >= left && x <= right) {
    for (const line of between(spoken, moment - 2, moment + 2, (l) => l.start, longest + 2)) {
      const width = (right - left) / line.lanes, from = left + line.lane * width;
      if (x < from || x > from + width) continue;
      line.words.forEach((_, index) => {
        if (canMove(line, index)) for (const side of ["end", "start"]) offer(wordEdge(line, index, side));
      });
    }
    for (const one of spare) for (const side of ["end", "start"]) offer(leftEdge(one, side));
  } else if (x >= columns["bar.beat"][0]) {
    for (const song of plan.songs.filter((s) => s.file && moment >= s.start - 1 && moment <= s.end + 1)) {
      for (let number = 1; number <= barCount(song); number++) if (barMoment(song, number) !== undefined) offer(barEdge(song, number));
    }
  }
  return best;
}

let drag = null;
const placeIn = (event) => { const box = canvas.getBoundingClientRect(); return [event.clientX - box.left, event.clientY - box.top]; };

function hold(edge) {
  if (held?.key === edge?.key) return;
  held = edge;
  canvas.style.cursor = edge ? "ns-resize" : "grab";
  draw();
}

canvas.addEventListener("pointerdown", (event) => {
  const [x, y] = placeIn(event);
  if (isPlaying) stop();
  const edge = edgeNear(x, y);
  hold(edge);
  lastKey = null;
  drag = { y, at: state.at, edge, isMoving: false, grip: edge ? y - yOf(edge.at()) : 0 };
  canvas.setPointerCapture(event.pointerId);
});

canvas.addEventListener("pointermove", (event) => {
  const [x, y] = placeIn(event);
  if (!drag) { hold(edgeNear(x, y)); return; }
  if (!drag.isMoving && Math.abs(y - drag.y) < 3) return;
  if (!drag.isMoving && drag.edge) {
    remember(`${drag.edge.name} moved`);
    if (drag.edge.line && drag.edge.line !== state.line) choose(drag.edge.line, false);
  }
  drag.isMoving = true;
  if (drag.edge) {
    drag.edge.move(momentAt(y - drag.grip));
    changed();
  } else seek(Math.min(soundEnd - 1 / fps, drag.at - (y - drag.y) / state.scale));
});

canvas.addEventListener("pointerup", (event) => {
  if (drag && !drag.isMoving) {
    const moment = momentAt(placeIn(event)[1]);
    const line = between(spoken, moment, moment + 0.001, (l) => l.start, longest + 1).findLast((l) => moment < lineEnd(l));
    if (line) choose(line, false);
  } else if (drag?.edge) {
    say(`${drag.edge.name}: ${(drag.edge.at() + drag.edge.offset).toFixed(3)} seconds of ${fileName(drag.edge.file)}`);
    refresh();
  } else if (drag) follow(state.at);
  drag = null;
  if (event.pointerType !== "mouse") hold(null);
});
canvas.addEventListener("pointercancel", () => { drag = null; hold(null); });
canvas.addEventListener("pointerleave", () => { if (!drag) hold(null); });

canvas.addEventListener("wheel", (event) => {
  event.preventDefault();
  if (isPlaying) stop();
  seek(Math.min(soundEnd - 1 / fps, state.at + event.deltaY / state.scale));
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

function toEdges() {
  const place = byId("line");
  (place.querySelector(".doubtful [role=slider]") || place.querySelector("[role=slider]"))?.focus();
}

const letters = {
  h: () => toggle("half"), l: () => toggle("loop"), r: hearLine, n: () => lookAt(state.doubt + 1), t: tap, u: undo, s: saveAll, e: toEdges,
};

document.addEventListener("keydown", (event) => {
  const tag = event.target.tagName, key = event.key.toLowerCase();
  if ((event.ctrlKey || event.metaKey) && key === "z") { event.preventDefault(); undo(); return; }
  if ((event.ctrlKey || event.metaKey) && key === "s") { event.preventDefault(); saveAll(); return; }
  if (event.ctrlKey || event.metaKey || event.altKey || tag === "SELECT" || (tag === "INPUT" && event.target.type !== "checkbox")) return;
  if (key === " " && (tag === "BUTTON" || tag === "INPUT" || tag === "SUMMARY")) return;
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
  byId("undo").title = past.length ? `Undo: ${past.at(-1).what}` : "";
}

function refresh() {
  heardKey = "";
  beatsOf.clear();
  labels();
  keepingFocus(() => {
    showLine();
    listLeft();
    listSongs();
    listCorrections();
  });
  draw();
}

// What is seen first: the first doubt, else the first words.
function openAt() {
  const doubt = plan.doubts.find((one) => one.line && one.words.length) || plan.doubts.find((one) => one.line);
  const line = doubt ? lineById.get(doubt.line) : spoken[0] || plan.lines[0];
  if (!line) return;
  choose(line);
  if (doubt?.words.length) seek(Math.max(0, line.words[doubt.words[0]].start - 0.25));
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
    loop: () => toggle("loop"), before: () => neighbour(-1), after: () => neighbour(1), closer: () => zoom(1.5), wider: () => zoom(1 / 1.5), undo, save: saveAll, "save-in": saveInFolder };
  for (const [id, action] of Object.entries(does)) byId(id).addEventListener("click", action);
  for (const id of ["line-name", "save-name"]) byId(id).tabIndex = -1;
  byId("save-in").hidden = !window.showDirectoryPicker;
  listDoubts();
  new ResizeObserver(measure).observe(canvas);
  document.fonts.ready.then(draw);
  openAt();
  refresh();
}

begin();
