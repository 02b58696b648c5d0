// --- label files ----------------------------------------------------------------------------------------------------

const bare = (text) => text.toLowerCase().replace(/[^\p{L}\p{N}]/gu, "");
const idIn = (text) => { const m = /^\s*(?:line\s+)?0*(\d+[a-z]*)\s*(?::.*)?$/is.exec(text); return m ? m[1].toUpperCase() : null; };
const NEAR = 0.5; // seconds by which a word's row may lie outside what was heard of its line

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
  for (const [id, told] of Object.entries(edits.bars)) {
    const song = songById.get(id);
    for (const [bar, moment] of Object.entries(told)) {
      add(song.file, moment - song.start, moment - song.start, `bar ${bar}`);
      own(bars, song.file, `bar ${bar}`);
    }
  }
  const found = [];
  for (const file of [...new Set([...rows.keys(), ...lines.keys()])].sort()) {
    const before = plan.labels[file] || "", kept = keptRows(file, before, lines.get(file) || new Set(), bars.get(file) || new Set());
    const fresh = (rows.get(file) || []).sort((a, b) => a[0] - b[0] || b[1] - a[1])
      .map(([start, end, text]) => `${start.toFixed(6)}\t${end.toFixed(6)}\t${text}`);
    const text = [...kept, ...fresh].map((row) => row + "\n").join("");
    if (text !== before) found.push([file, text]);
  }
  return found;
}

// Everything of an older file stays, comments too, but the rows of lines and bars that are said anew, with the words in them.
function keptRows(file, text, ids, bars) {
  const parsed = parse(text);
  const known = new Set(plan.lines.map((line) => line.id.toUpperCase()));
  const named = (row) => (row.text && known.has(idIn(row.text)) ? idIn(row.text) : null);
  const ranges = parsed.filter((row) => ids.has(named(row))).map((row) => [named(row), row.start, row.end]);
  for (const id of ids) {
    const line = plan.lines.find((one) => one.id.toUpperCase() === id);
    for (const part of line.parts) {
      if (part.file === file && edits.words[line.id]) ranges.push([id, line.start + part.offset - NEAR, line.end + part.offset + NEAR]);
    }
  }
  const others = parsed.filter((row) => named(row) && !ids.has(named(row)));
  return parsed.filter((row) => {
    if (!row.text) return row.raw.trim() !== "";
    if (ids.has(named(row)) || bars.has(row.text.toLowerCase().replace(/\s+/g, " "))) return false;
    const middle = (row.start + row.end) / 2;
    if (others.some((other) => other !== row && middle >= other.start && middle <= other.end)) return true;
    return !ranges.some(([id, start, end]) => {
      const line = plan.lines.find((one) => one.id.toUpperCase() === id);
      return middle >= start && middle <= end && line.words.some((word) => bare(word.text) === bare(row.text));
    });
  }).map((row) => row.raw);
}

const labelName = (file) => file.replace(/\.[^./]*$/, "") + ".txt";
const folderOf = (file) => file.split("/").slice(0, -1).join("/");
const isUnsaved = () => labelFiles().some(([file, text]) => saved.get(file) !== text);

function listFiles(count) {
  const list = byId("files"), files = labelFiles(), open = files.filter(([file, text]) => saved.get(file) !== text);
  byId("save-how").hidden = !files.length;
  list.replaceChildren();
  for (const [file, text] of files) {
    const item = make("li"), is = saved.get(file) === text ? "saved" : "not saved yet";
    item.append(make("button", { text: `Save ${fileName(labelName(file))}`, "data-at": `save-${file}`, on: () => { download(file, text); tellWhere([file]); } }),
      ` into ${folderOf(file)}/, beside ${fileName(file)} · ${is}`);
    list.append(item);
  }
  const things = `${count} correction${count === 1 ? "" : "s"}`;
  set("tally", !files.length ? "Nothing corrected." : open.length ? `● ${things}, not saved` : `${things}, saved`);
  byId("save").disabled = byId("save-in").disabled = !files.length;
}

function tellWhere(files) {
  const names = files.map((file) => `${fileName(labelName(file))} into ${folderOf(file)}/`).join(", ");
  tell(`Saved as a download. Now move ${names}: beside its sound, with just that name. Then run timing sheet again.`);
}

function download(file, text) {
  const name = labelName(file);
  const link = make("a", { href: URL.createObjectURL(new Blob([text], { type: "text/plain;charset=utf-8" })), download: fileName(name) });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
  saved.set(file, text);
  keepingFocus(listCorrections);
}

function saveAll() {
  const files = labelFiles();
  if (!files.length) { say("nothing was corrected yet"); return; }
  for (const [file, text] of files) download(file, text);
  tellWhere(files.map(([file]) => file));
}

// Straight into the episode's folder, where the browser can do that (File System Access). A label file that somebody
// changed since this page was made is left alone.
let episode = null;

async function saveInFolder() {
  const files = labelFiles();
  if (!files.length) { say("nothing was corrected yet"); return; }
  try {
    episode = episode || await window.showDirectoryPicker({ id: "episode", mode: "readwrite" });
  } catch { return; } // none was chosen
  const done = [];
  for (const [file, text] of files) {
    try {
      let folder = episode;
      for (const name of folderOf(file).split("/").filter(Boolean)) folder = await folder.getDirectoryHandle(name);
      await folder.getFileHandle(fileName(file)); // the sound itself, so that it is the right folder
      const handle = await folder.getFileHandle(fileName(labelName(file)), { create: true });
      const lies = await (await handle.getFile()).text();
      if (lies && lies !== text && ![plan.labels[file], saved.get(file)].includes(lies)) {
        tell(`${labelName(file)} was changed since this page was made; save it as a download and compare the two.`);
        return;
      }
      const stream = await handle.createWritable();
      await stream.write(text);
      await stream.close();
      saved.set(file, text);
      done.push(labelName(file));
    } catch (problem) {
      const [name, where] = [episode.name, file];
      episode = null;
      tell(`${name} holds no ${where}: choose the episode's folder itself (${problem.name}).`);
      return;
    }
  }
  tell(`Saved ${done.join(", ")} in ${episode.name}. Run timing sheet again.`);
  keepingFocus(listCorrections);
}

function tell(text) {
  set("where", text);
  byId("where").hidden = false;
  say(text);
}
