// --- what is true on this frame -------------------------------------------------------------------------------------

function clockOf(frame, withFrames = true) {
  const total = Math.floor(frame / second);
  const text = `${Math.floor(total / 60)}:${String(total % 60).padStart(2, "0")}`;
  return withFrames ? `${text}+${String(frame % second).padStart(String(second - 1).length, "0")}` : text;
}

let heardKey = "";

function showNow() {
  const frame = Math.min(plan.frames - 1, frameAt(state.at));
  const isBehind = state.at > length; // speech that is in no line
  const clips = isBehind ? [] : clipsOn(frame), clip = clips[0];
  const lines = clips.flatMap((c) => c.lines.map((id) => lineById.get(id)));
  set("clip", clips.map((c) => c.id).join(" · ") || (isBehind ? "no line" : "no clip here"));
  set("who", [...new Set(clips.map((c) => c.who).filter(Boolean))].join(" & ") || "–");
  set("ask", clip ? clip.ask : "–");
  set("told", [...new Set(lines.map((line) => line.told))].join(" · ") || "–");
  set("frame", clip ? `${frame - clip.counts_from + 1} of ${clip.of}` : "–");
  set("clock", clip ? clockOf(frame - clip.counts_from) : "–");
  const sound = inSound(state.at);
  set("sound-at", sound ? `${sound.at.toFixed(3)} s` : "–");
  set("sound-of", sound ? `in ${fileName(sound.file)}` : "in its sound");
  set("episode", isBehind ? "–" : clockOf(frame));
  set("episode-frame", isBehind ? "–" : String(frame + 1));
  set("beat", isBehind ? "–" : beatAt(frame));
  showHeard(lines, clip);
  if (clip) byId("jump").value = clip.id;
}

function set(id, text) {
  const place = byId(id);
  if (place.textContent !== text) place.textContent = text;
}

function beatAt(frame) {
  for (const song of plan.songs) {
    const beats = beatsNow(song);
    for (let n = firstAfter(beats, frame + 1, (b) => b[0]) - 1; n >= 0; n--) {
      const [, number, beat] = beats[n];
      if (number === -1) break;
      if (beat > 0) return `${number}.${beat}`;
    }
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
