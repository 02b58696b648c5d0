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
const wave = Uint8Array.from(atob(plan.wave.values), (c) => c.charCodeAt(0));
const soundEnd = Math.max(length, wave.length / plan.wave.per_s); // spare stretches lie behind the episode
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

// From a moment to another one; then the sheet goes back to ``back``, so that what was heard can be moved.
function play(from = null, to = null, back = null) {
  clearTimeout(blip);
  if (from !== null) state.at = Math.max(0, from);
  if (from === null && state.at >= length - 0.5 / fps) state.at = 0;
  state.stopAt = to;
  state.backTo = back;
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
  else if (state.stopAt !== null && (at >= state.stopAt || audio.ended)) { stop(); if (state.backTo !== null) seek(state.backTo); return; }
  else if (audio.ended || (state.stopAt === null && at >= length)) { stop(); seek(Math.min(at, length - 1 / fps)); return; }
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
  showNow();
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
