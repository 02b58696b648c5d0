"""The proof page in a real browser: headless Chromium through its own pipe; judged by axe-core for accessibility."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from tests.export.plans import line, plan_of, small_plan
from tests.watch.browser import Browser, find
from tests.watch.films import beeps, write_wav
from timing.cli import cli
from timing.model import Delivered, Finding, LineKind, Origin, Plan, PlanLine
from timing.model.clock import FrameRate
from timing.model.findings import FindingCode
from timing.model.settings import EpisodeSettings
from timing.recording.results import Heard, Take
from timing.watch.doubts import doubts
from timing.watch.page_data import page_data
from timing.watch.proof import proof_page, safe_json
from timing.watch.spare import Stretch, left_over, with_sound

needs_browser = pytest.mark.skipif(find() is None, reason="no Chromium is installed")
RATE = FrameRate(Fraction(24))
FORGET = "if (typeof edits !== 'undefined') edits = nothing()"  # else the browser asks before it leaves the page


def measured(plan: Plan) -> Plan:
    """small_plan() with lines 1 and 3 read in recordings/a.wav, line 1 from 0.5 s and line 3 from 5 s on."""
    starts = {"1": Fraction(1, 2), "3": Fraction(5)}
    lines = tuple(
        replace(n, take="recordings/a.wav", take_start=starts[n.id], origin=Origin.MEASURED) if n.id in starts else n
        for n in plan.lines
    )
    return replace(plan, lines=lines)


def heard() -> Heard:
    """Line 1 was read a second time, at 11 s; from 13 s on somebody says what is in no line."""
    return Heard(
        {},
        (
            Take("1", "recordings/a.wav", Fraction(1, 2), Fraction(33, 10), True, 0.9, True),
            Take("3", "recordings/a.wav", Fraction(5), Fraction(9), True, 0.9, True),
            Take("1", "recordings/a.wav", Fraction(11), Fraction(12), True, 0.8),
        ),
        sounding={
            "recordings/a.wav": tuple(
                (Fraction(a), Fraction(b)) for a, b in (("0.5", "3.3"), (5, 9), (11, 12), (13, 14))
            )
        },
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("episode")
    write_wav(
        root / "recordings" / "a.wav",
        beeps([*np.arange(0.5, 3.2, 0.1), *np.arange(5, 9, 0.1), 11.2, *np.arange(13, 14, 0.1)], 15),
    )
    write_wav(root / "songs" / "out-and-in.wav", beeps(list(np.arange(0, 8, 0.625)), 8))
    (root / "recordings" / "a.txt").write_text(
        "# mine\n0.500000\t3.300000\t1: older\n0.500000\t0.800000\tThe\n20.0\t21.0\t99: gone\n", "utf-8"
    )
    return root


def with_song(plan: Plan) -> Plan:
    return replace(plan, songs=tuple(replace(song, file="songs/out-and-in.wav") for song in plan.songs))


@pytest.fixture(scope="module")
def page(folder: Path) -> Path:
    path = folder / "proof.html"
    path.write_bytes(proof_page(with_song(measured(small_plan())), folder, heard())[0])
    return path


@pytest.fixture(scope="module")
def started(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    browser = Browser(tmp_path_factory.mktemp("browser"))
    yield browser
    browser.close()


@pytest.fixture
def browser(started: Browser, page: Path) -> Browser:
    started.resize(1280, 800)
    started.run(FORGET)
    for old in started.downloads.iterdir():
        old.unlink()
    started.events.clear()
    started.open(page)
    started.until("audio.readyState >= 2 && columns.words && !isAsked")
    return started


def text_of(browser: Browser, selector: str) -> str:
    return str(browser.run(f"document.querySelector({json.dumps(selector)}).textContent"))


def slider(word: int, side: str) -> str:
    return f'#line [data-word="{word}"][data-side="{side}"]'


def rows(data: bytes) -> list[list[str]]:
    return [row.split("\t") for row in data.decode().splitlines()]


@needs_browser
def test_it_plays_and_stops_and_goes_at_half_speed(browser: Browser) -> None:
    browser.run("choose(lineById.get('1')); document.querySelector('#sheet').focus()")
    before = browser.run("state.at")
    browser.press(" ")
    browser.until(f"now() > {before} + 0.2")
    assert text_of(browser, "#play") == "Stop"
    browser.press("h")
    browser.until("audio.playbackRate === 0.5")
    browser.press(" ")
    browser.until("audio.paused && !isPlaying && !isAsked")
    assert browser.run("audio.currentTime") == pytest.approx(browser.run("state.at"), abs=1e-3)
    assert text_of(browser, "#play") == "Play"


@needs_browser
def test_it_steps_frame_by_frame_and_counts_as_the_paper_does(browser: Browser) -> None:
    browser.run("choose(lineById.get('1')); document.querySelector('#sheet').focus()")
    first = text_of(browser, "#frame")
    assert first == "1 of 82"  # the clip begins at 0.75 s, a quarter of a second before its line: frame 18 to 100
    assert text_of(browser, "#episode-frame") == "19"
    for _ in range(3):
        browser.press("ArrowRight")
    browser.until("!isAsked")
    assert (text_of(browser, "#frame"), text_of(browser, "#episode-frame")) == ("4 of 82", "22")
    browser.press("ArrowLeft")
    browser.until("!isAsked")
    assert (text_of(browser, "#frame"), text_of(browser, "#clock")) == ("3 of 82", "0:00+02")  # counts from the clip
    assert text_of(browser, "#episode") == "0:00+20"
    assert text_of(browser, "#sound-at") == "–"  # before the first word: nothing of the recording is heard
    browser.run("seek(1.25)")
    browser.until("!isAsked")
    # The recording's own clock, as label files have it: line 1 begins at 1 s of the episode and at 0.5 s of the file.
    assert (text_of(browser, "#sound-of"), text_of(browser, "#sound-at")) == ("in a.wav", "0.750 s")
    browser.run("seek(1.75)")  # frame 42 of the episode is 24 frames behind the clip's first, 18: its second begins
    browser.until("!isAsked")
    assert (text_of(browser, "#frame"), text_of(browser, "#clock")) == ("25 of 82", "0:01+00")


@needs_browser
def test_a_clip_can_be_jumped_to_and_a_line_looped(browser: Browser) -> None:
    browser.run("(() => { const j = byId('jump'); j.value = 'C04'; j.dispatchEvent(new Event('change')); })()")
    browser.until("byId('clip').textContent === 'C04'")
    assert browser.run("state.line.id") == "4"
    browser.run("choose(lineById.get('1'))")
    browser.click("#loop")
    browser.run("seek(lineEnd(state.line) + 0.1)")
    browser.until("now() < lineStart(state.line) + 1")
    assert browser.run("isPlaying")
    browser.run("stop()")


@needs_browser
def test_a_word_moved_by_keys_is_saved_as_labels(browser: Browser) -> None:
    browser.run(f"choose(lineById.get('1')); document.querySelector({json.dumps(slider(1, 'start'))}).focus()")
    for _ in range(8):
        browser.press("ArrowRight")
    assert text_of(browser, slider(1, "start")) == "0.980"  # 0.9 s of the recording and eight times 10 ms
    assert text_of(browser, slider(0, "end")) == "0.980"  # the word before touched it, so it goes along
    assert browser.run("document.activeElement.dataset.word") == "1"
    assert browser.run("isUnsaved()")
    browser.press("s")
    found = rows(browser.downloaded("a.txt"))
    assert not browser.run("isUnsaved()")
    assert text_of(browser, "#files li").endswith("· saved")
    assert text_of(browser, "#tally") == "1 correction, saved"
    assert "a.txt into recordings/" in text_of(browser, "#where")
    # The recording's clock: line 1 begins at 1 s of the episode and at 0.5 s of the file.
    assert ["0.500000", "3.300000", "1: The sea goes out & in <twice>."] in found
    assert ["0.500000", "0.980000", "The"] in found
    assert ["0.980000", "1.300000", "sea"] in found
    assert ["1.300000", "1.700000", "goes"] in found
    # What lay in the file before stays, but for what is said anew.
    assert ["# mine"] in found
    assert ["20.0", "21.0", "99: gone"] in found
    assert "older" not in json.dumps(found)
    assert sum(row[-1] == "The" for row in found) == 1


@needs_browser
def test_a_word_moved_by_mouse_follows_the_hand(browser: Browser) -> None:
    browser.run("choose(lineById.get('1')); seek(1.2)")
    browser.until("!isAsked")
    x, y = browser.run(
        "(() => { const b = canvas.getBoundingClientRect();"
        " return [b.x + (columns.words[0] + columns.words[1]) / 2, b.y + yOf(1.8)]; })()"
    )
    browser.drag(x, y, x, y + 36)  # 240 pixels a second: 0.15 s
    assert float(text_of(browser, slider(1, "end"))) == pytest.approx(1.45, abs=0.002)
    assert float(text_of(browser, slider(2, "start"))) == pytest.approx(1.45, abs=0.002)
    assert text_of(browser, slider(2, "end")) == "1.700"
    assert not browser.run("byId('undo').disabled")
    browser.click("#undo")
    assert text_of(browser, slider(1, "end")) == "1.300"
    assert browser.run(
        "!isUnsaved() && byId('undo').disabled && byId('save').disabled && !byId('files').children.length"
    )


@needs_browser
def test_no_word_can_be_moved_over_its_neighbour_or_before_its_sound(browser: Browser) -> None:
    browser.run("choose(lineById.get('1')); moveWord(state.line, 1, 'start', -5)")
    assert browser.run("wordsOf(state.line).slice(0, 2)") == [[1, 1.02], [1.02, 1.8]]
    browser.run("moveWord(state.line, 0, 'start', -5)")
    assert browser.run("wordsOf(state.line)[0][0]") == 0.5  # the recording begins there


@needs_browser
def test_words_of_a_split_line_are_saved_beside_the_clip_they_lie_in(started: Browser, tmp_path: Path) -> None:
    one = replace(line("1", "Out it goes and in.", 1, RATE), delivered=("clips/C01.1.mp4",))
    plan = plan_of([one])
    halves = [replace(plan.clips[0], id=f"C01.{n}", part=(n, 2), words=span) for n, span in ((1, (0, 3)), (2, (3, 5)))]
    back = Delivered("C01.1", "clips/C01.1.mp4", is_measured=True, speech_start=Fraction(3, 4))
    path = tmp_path / "proof.html"
    path.write_bytes(silent_page(replace(plan, clips=tuple(halves), deliveries=(back,))))
    started.run(FORGET)
    started.open(path)
    started.until("typeof plan !== 'undefined' && columns.words")
    started.run("choose(lineById.get('1')); remember('a test'); moveWord(state.line, 2, 'end', 2.5); refresh()")
    assert started.run("wordsOf(state.line).slice(2, 4)") == [[1.8, 2.2], [2.2, 2.6]]  # what is not back stays
    started.run("remember('a test'); moveWord(state.line, 2, 'start', 1.9); refresh()")
    assert started.run("document.querySelectorAll('#line [role=slider]').length") == 6
    (saved,) = started.run("labelFiles()")
    assert saved[0] == "clips/C01.1.mp4"
    assert rows(saved[1].encode()) == [  # the clip's clock: its line begins at 0.75 s there
        ["0.750000", "1.950000", "1: Out it goes"], ["0.750000", "1.150000", "Out"],
        ["1.150000", "1.650000", "it"], ["1.650000", "1.950000", "goes"],
    ]  # fmt: skip


@needs_browser
def test_left_over_speech_can_be_given_to_a_line_and_another_reading_chosen(browser: Browser) -> None:
    assert browser.run("plan.left.map(one => [one.file, Math.round(one.start), Math.round(one.end)])") == [
        ["recordings/a.wav", 13, 14]
    ]
    browser.run("byId('left-0').value = '3'")
    browser.click("#give-0")
    assert "given to line 3" in text_of(browser, "#left li")
    browser.run("choose(lineById.get('1')); byId('reading-1').click()")
    assert browser.run("byId('reading-1').checked")
    browser.click("#files button")
    found = rows(browser.downloaded("a.txt"))
    line_rows = {row[2].split(":")[0]: row[:2] for row in found if len(row) == 3}
    assert line_rows["1"] == ["11.000000", "12.000000"]
    assert float(line_rows["3"][0]) == pytest.approx(13, abs=0.06)


@needs_browser
def test_the_bars_of_a_song_are_tapped_in_the_songs_own_clock(browser: Browser) -> None:
    for bar in range(3):  # the song lies at 12 s of the episode
        browser.run(f"seek(12.1 + 2.5 * {bar}); document.activeElement.blur()")
        browser.press("t")
    assert browser.run("byId('bar-out-and-in').value") == "4"
    browser.click("#songs summary")
    browser.run("document.querySelector('#songs [role=slider]').focus()")
    browser.press("ArrowLeft")
    browser.press("s")
    assert rows(browser.downloaded("out-and-in.txt")) == [
        ["0.090000", "0.090000", "bar 1"], ["2.600000", "2.600000", "bar 2"], ["5.100000", "5.100000", "bar 3"],
    ]  # fmt: skip


FOLDER = """
window.wrote = {};
window.made = (name, has) => ({ name,
  getDirectoryHandle: async (below) => { if (!(below in has)) throw new DOMException("", "NotFoundError"); return made(below, has[below]); },
  getFileHandle: async (file, how) => {
    if (!(file in has) && !how) throw new DOMException("", "NotFoundError");
    return { getFile: async () => ({ text: async () => wrote[file] ?? has[file] ?? "" }),
      createWritable: async () => ({ write: async (text) => { wrote[file] = text; }, close: async () => {} }) };
  } });
"""


@needs_browser
def test_a_browser_that_can_saves_straight_into_the_episode_but_over_nobodys_work(browser: Browser) -> None:
    browser.run(FOLDER + "; 1")
    browser.run("choose(lineById.get('1')); remember('a test'); moveWord(state.line, 1, 'start', 1.5); refresh()")
    browser.run("window.showDirectoryPicker = async () => made('elsewhere', {}); 1")
    browser.run("saveInFolder()")
    assert text_of(browser, "#where").startswith("elsewhere holds no recordings/a.wav: choose the episode's folder")
    older = "# changed by hand since"
    for lies, is_written in ((older, False), ("plan.labels['recordings/a.wav']", True)):
        lies = json.dumps(lies) if lies == older else lies
        browser.run(
            "episode = null; window.showDirectoryPicker = async () => made('low-tide',"
            f" {{ recordings: {{ 'a.wav': '', 'a.txt': {lies} }} }}); 1"
        )
        browser.run("saveInFolder()")
        assert browser.run("isUnsaved()") is not is_written
        assert browser.run("wrote['a.txt'] === labelFiles()[0][1]") is is_written
    assert text_of(browser, "#where") == "Saved recordings/a.txt in low-tide. Run timing sheet again."


@needs_browser
def test_one_wrong_bar_is_dragged_and_the_others_stay(browser: Browser) -> None:
    browser.run("seek(plan.songs[0].bars[1])")
    browser.until("!isAsked")
    x, y = browser.run(
        "(() => { const b = canvas.getBoundingClientRect(), at = plan.songs[0].bars[1];"
        " return [b.x + columns['bar.beat'][0] + 12, b.y + yOf(at)]; })()"
    )
    browser.drag(x, y, x, y + 48)  # 240 pixels a second: 0.2 s; bar 2 of the song at 12 s begins at 14.5 s
    browser.until("!isAsked")
    assert browser.run("barMoment(plan.songs[0], 2)") == pytest.approx(14.7, abs=0.002)
    assert text_of(browser, "#corrections li span").startswith("song out-and-in, bar 2: begins 0.200 s later")
    # The beats of the bars beside it share what is left: bar 1 from 12 s on has 2.7 s for its four beats.
    beats = browser.run("beatsNow(plan.songs[0]).filter(b => b[2] > 0 && b[1] <= 3).map(b => [b[1], b[2], b[0]])")
    assert beats[:5] == [[1, 1, 288], [1, 2, 304], [1, 3, 320], [1, 4, 337], [2, 1, 353]]
    browser.press("s")
    said = rows(browser.downloaded("out-and-in.txt"))
    assert [row[2] for row in said] == ["bar 1", "bar 2", "bar 3"]  # its neighbours hold the rest of the song
    assert [float(row[0]) for row in said] == pytest.approx([0, 2.7, 5], abs=0.002)
    browser.click("#corrections button:nth-of-type(2)")
    assert browser.run("labelFiles().length === 0 && !Object.keys(edits.bars).length")


@needs_browser
def test_the_edges_of_left_over_speech_are_moved_before_it_is_given(browser: Browser) -> None:
    start, end = "#left [aria-label='start of the stretch']", "#left [aria-label='end of the stretch']"
    assert (text_of(browser, start), text_of(browser, end)) == ("13.000", "14.000")
    browser.run(f"document.querySelector({json.dumps(end)}).focus()")
    for _ in range(5):
        browser.press("ArrowLeft")
    browser.run(f"document.querySelector({json.dumps(start)}).focus()")
    browser.press("PageUp")  # one frame: 1/24 s
    assert (text_of(browser, start), text_of(browser, end)) == ("13.042", "13.950")
    browser.run("seek(plan.left[0].at)")
    browser.until("!isAsked")
    assert (text_of(browser, "#clip"), text_of(browser, "#sound-at")) == ("no line", "13.000 s")
    x, y = browser.run(
        "(() => { const b = canvas.getBoundingClientRect(), one = spare[0];"
        " return [b.x + (columns.words[0] + columns.words[1]) / 2, b.y + yOf(leftOf(one)[1] - one.start + one.at)]; })()"
    )
    browser.drag(x, y, x, y - 24)  # a tenth of a second earlier
    assert float(text_of(browser, end)) == pytest.approx(13.85, abs=0.002)
    browser.run("byId('left-0').value = '3'")
    browser.click("#give-0")
    browser.press("s")
    (row,) = [row for row in rows(browser.downloaded("a.txt")) if row[-1].startswith("3:")]
    assert [float(n) for n in row[:2]] == pytest.approx([13 + 1 / 24, 13.85], abs=0.002)


@needs_browser
def test_one_slip_is_put_back_and_the_rest_stays(browser: Browser) -> None:
    for word, presses in ((1, 4), (3, 2)):
        browser.run(f"choose(lineById.get('1')); document.querySelector({json.dumps(slider(word, 'start'))}).focus()")
        for _ in range(presses):
            browser.press("ArrowRight")
    told = "[...document.querySelectorAll('#corrections li span')].map(e => e.textContent)"
    assert browser.run(told) == [
        "line 1, “sea”: starts 0.040 s later", "line 1, “out”: starts 0.020 s later"
    ]  # fmt: skip
    assert text_of(browser, "#tally") == "● 2 corrections, not saved"
    browser.click("#corrections li:first-child button:nth-of-type(2)")
    assert browser.run(told) == ["line 1, “out”: starts 0.020 s later"]
    assert (text_of(browser, slider(1, "start")), text_of(browser, slider(0, "end"))) == ("0.900", "0.900")
    browser.click("#undo")  # the putting back
    assert len(browser.run(told)) == 2
    browser.click("#undo")  # all steps on one edge are one change
    assert browser.run(told) == ["line 1, “sea”: starts 0.040 s later"]
    browser.click("#undo")
    assert browser.run("byId('undo').disabled && !isUnsaved()")


@needs_browser
def test_the_mouth_of_a_moved_word_is_stretched_with_it(started: Browser, tmp_path: Path) -> None:
    plan = plan_of([with_sounds(line("1", "My map", 1, RATE))])
    spoken = replace(plan.lines[0], take="recordings/a.wav", take_start=Fraction(1), origin=Origin.MEASURED)
    path = tmp_path / "proof.html"
    path.write_bytes(silent_page(replace(plan, lines=(spoken,))))
    started.run(FORGET)
    started.open(path)
    started.until("typeof plan !== 'undefined' && columns.words && !isAsked")
    drawn = (
        "(() => { const found = [], own = pen.fillText.bind(pen), box = pen.fillRect.bind(pen), l = columns.mouth[0];"
        " pen.fillText = (t, x, y) => { if (x > l && x < columns['bar.beat'][0]) found.push([t, y]); own(t, x, y); };"
        " pen.fillRect = (x, y, w, h) => { if (x > l + 4 && w === 9) found.push(['closed', y, h]); box(x, y, w, h); };"
        " paint(); delete pen.fillText; delete pen.fillRect; return found.map(([sign, y, h]) => [sign,"
        " Math.round((y - (h === undefined ? 12 : 1) - yOf(0)) / state.scale * fps),"
        " h === undefined ? 0 : Math.round((h + 2) / state.scale * fps)]).filter(f => f[0] !== 'mouth'); })()"
    )
    # "My" from 1 to 1.4 s: M a quarter, the vowel from 1.1 s. "map" from 1.4 to 1.8 s: M, AE from 1.5, P from 1.7 s.
    # Frames of 1/24 s, nearest edges: 24, 26; 34, 36, 41. M and P close the lips for 0.1 s: to 26, to 36, to 43.
    assert started.run(drawn) == [["closed", 24, 2], ["aɪ", 26, 0], ["closed", 34, 2], ["æ", 36, 0], ["closed", 41, 2]]
    started.run("choose(lineById.get('1'), false); moveWord(state.line, 1, 'end', 2.2); changed()")
    # "map" lasts twice as long: AE from 1.6 s (frame 38), P from 2.0 s (48) to 2.2 s (53).
    assert started.run(drawn) == [["closed", 24, 2], ["aɪ", 26, 0], ["closed", 34, 4], ["æ", 38, 0], ["closed", 48, 5]]


def with_sounds(one: PlanLine) -> PlanLine:
    """The line with phones that begin at a quarter and at three quarters of each word."""
    found = []
    for word, phones in zip(one.words, (("M", "AY"), ("M", "AE", "P")), strict=True):
        (syllable,) = word.syllables
        quarters = [syllable.start + (syllable.end - syllable.start) * n / 4 for n in (0, 1, 3)]
        found.append(
            replace(word, syllables=(replace(syllable, phones=phones, phone_starts=tuple(quarters[: len(phones)])),))
        )
    return replace(one, words=tuple(found))


@needs_browser
def test_it_opens_on_the_first_doubt_and_marks_the_very_word(started: Browser, tmp_path: Path) -> None:
    picture = line("1", "The rock.", 0, RATE, LineKind.PICTURE)
    said = line(
        "2", "My toes are wet", 3, RATE, take="recordings/a.wav", take_start=Fraction(1), origin=Origin.MEASURED
    )
    unsure = replace(said, words=tuple(replace(w, confidence=0.2 if w.text == "are" else 0.9) for w in said.words))
    path = tmp_path / "proof.html"
    path.write_bytes(silent_page(plan_of([picture, unsure]), 6))
    started.run(FORGET)
    started.open(path)
    started.until("typeof plan !== 'undefined' && columns.words && !isAsked")
    assert started.run("state.line.id") == "2"
    assert started.run("state.at") == pytest.approx(3 + 2 * 0.4 - 0.25)  # a little before "are", the third word
    assert text_of(started, "#doubts li") == "Line 2 · Tansy: not sure where “are” is"
    assert text_of(started, ".doubtful .word") == "are"
    started.run("seek(0)")
    started.press("n")
    started.until("isPlaying || state.at > 1")
    started.until("!isPlaying && !isAsked")  # it plays the word with what stands around it, then goes back to it
    assert started.run("state.at") == pytest.approx(3 + 2 * 0.4)
    started.press("e")
    assert started.run("document.activeElement.getAttribute('aria-label')") == "start of “are”"


@needs_browser
@pytest.mark.parametrize("width", [1280, 375])
def test_play_and_save_are_always_in_sight(browser: Browser, width: int) -> None:
    browser.resize(width, 800)
    browser.run("choose(lineById.get('1')); remember('a test'); moveWord(state.line, 1, 'start', 1.5); refresh()")
    seen = (
        "['play', 'undo', 'save', 'tally'].every(id => { const b = byId(id).getBoundingClientRect();"
        " const top = document.elementFromPoint(b.x + b.width / 2, b.y + b.height / 2);"
        " return b.top >= 0 && b.bottom <= innerHeight && b.right <= innerWidth && top === byId(id); })"
    )
    assert browser.run(seen)
    browser.run("byId('keys').scrollIntoView()")
    browser.until("!isAsked")
    assert browser.run(seen)
    assert browser.run("(() => { const b = canvas.getBoundingClientRect(); return b.top >= 0 && b.height >= 200; })()")


@needs_browser
def test_nothing_leaves_the_page(browser: Browser) -> None:
    browser.press("r")
    browser.until("now() > 1")
    browser.run("stop()")
    assert browser.requests
    assert {address.split(":")[0] for address in browser.requests} <= {"file", "data", "blob"}
    assert not browser.complaints


@needs_browser
@pytest.mark.parametrize("width", [1280, 375])
def test_a_general_checker_finds_nothing_against_the_page(browser: Browser, width: int) -> None:
    import axe_core_python

    browser.resize(width, 800)
    browser.run("choose(lineById.get('1')); remember('a test'); moveWord(state.line, 1, 'start', 1.5); refresh()")
    browser.run((Path(axe_core_python.__file__).parent / "axe.min.js").read_text("utf-8") + "; 1")
    found = browser.run(
        "axe.run().then(r => r.violations.map(v => v.id + ': ' + v.nodes.map(n => n.html.slice(0, 90)).join(' | ')))"
    )
    assert found == []
    assert browser.run("document.documentElement.scrollWidth") <= width
    assert browser.run("axe.run().then(r => r.passes.length)") > 20


@needs_browser
def test_every_control_is_reached_by_the_tab_key_and_has_a_name(browser: Browser) -> None:
    browser.run("choose(lineById.get('1')); document.body.focus()")
    wanted = browser.run(
        'document.querySelectorAll(\'button:not(:disabled, [tabindex="-1"]), select, input, [tabindex="0"]\').length'
    )
    seen = set()
    for _ in range(wanted + 20):
        browser.press("Tab")
        seen.add(
            browser.run(
                "(() => { const all = [...document.querySelectorAll('*')];"
                " return all.indexOf(document.activeElement); })()"
            )
        )
    radios = 1  # of a group of radio buttons the tab key reaches the chosen one
    assert len(seen) >= wanted - radios
    named = browser.send("Accessibility.getFullAXTree")["nodes"]
    controls = [
        n
        for n in named
        if n.get("role", {}).get("value") in ("button", "slider", "combobox", "spinbutton", "radio", "checkbox")
    ]
    assert len(controls) > 20
    assert all(n.get("name", {}).get("value", "").strip() for n in controls)
    browser.run(f"document.querySelector({json.dumps(slider(0, 'end'))}).focus()")
    assert browser.run("document.activeElement.getAttribute('aria-valuetext')") == (
        "0.90 seconds of a.wav, frame 16 of the clip"  # 1.4 s: frame 33.6 and so edge 34 of the episode; clip from 18
    )


@needs_browser
def test_hostile_words_and_names_stay_text(started: Browser, tmp_path: Path) -> None:
    evil = "</script><script>window.taken=1</script> <img src=x onerror=window.taken=1> @@SOUND@@ ${1} <!--"
    plan = plan_of([line("1", evil, 1, RATE, speaker="<b onclick=alert(1)>BRAM</b>")])
    plan = replace(
        plan, title="<svg onload=window.taken=1>&lt;", lines=tuple(replace(n, take=None) for n in plan.lines)
    )
    path = tmp_path / "proof.html"
    path.write_bytes(proof_page(plan, tmp_path)[0])
    started.events.clear()
    started.open(path)
    started.until("typeof plan !== 'undefined' && columns.words")
    assert started.run("window.taken") is None
    assert started.run("document.querySelectorAll('img, svg, b').length") == 0
    assert started.run("document.querySelectorAll('script').length") == 3
    assert text_of(started, "#title") == "<svg onload=window.taken=1>&lt;"
    assert text_of(started, "#line p") == " ".join(evil.split())
    assert not started.complaints


@needs_browser
def test_a_long_episode_draws_only_what_is_seen(started: Browser, tmp_path: Path) -> None:
    lines = [line(str(n), "Out it goes and in.", 3 * n, RATE) for n in range(1, 1201)]  # an hour
    path = tmp_path / "proof.html"
    path.write_bytes(silent_page(plan_of(lines)))
    started.open(path)
    started.until("typeof plan !== 'undefined' && columns.words")
    count = "(() => { let n = 0; const fill = pen.fillRect.bind(pen); pen.fillRect = (...a) => { n++; fill(...a); };"
    painted = [
        started.run(f"{count} state.at = {at}; paint(); delete pen.fillRect; return n; }})()") for at in (30, 3000)
    ]
    assert all(100 < n < 2500 for n in painted)
    assert abs(painted[0] - painted[1]) < 200


def silent_page(plan: Plan, seconds: int = 1) -> bytes:
    """The page with a short track: nobody waits for an hour of silence to be encoded."""
    from timing.watch import proof
    from timing.watch.film import sound_file

    track = np.zeros(48_000 * seconds, np.int16)
    return proof._page(page_data(plan, Path(), track, [], [], None), sound_file(track, 48_000), "en_US")


# --- what the page is given, without a browser ----------------------------------------------------------------------


def test_the_same_plan_gives_the_same_page(folder: Path) -> None:
    plan = with_song(measured(small_plan()))
    assert proof_page(plan, folder, heard())[0] == proof_page(plan, folder, heard())[0]


def test_the_page_is_one_file_that_forbids_itself_the_network(page: Path) -> None:
    text = page.read_text("utf-8")
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]+)"', text)
    assert policy
    assert "default-src 'none'" in policy[1]
    assert "unsafe" not in policy[1]
    assert not re.search(r"(?:src|href)=[\"']?(?:https?:)?//", text)


def test_json_in_the_page_can_end_no_element() -> None:
    text = safe_json({"a": "</script><!-- & \u2028 \ud800"})
    assert not set("<>&\u2028") & set(text)
    assert json.loads(text)["a"].startswith("</script><!-- & \u2028")


def test_what_is_told_of_a_line_are_the_plans_own_moments(folder: Path) -> None:
    plan = measured(small_plan())
    told = page_data(plan, folder, np.zeros(10, np.int16), [], [], None)["lines"][0]
    assert told["start"] == 1.0
    assert told["parts"] == [{"from": 0, "to": 7, "file": "recordings/a.wav", "offset": -0.5}]
    assert [(w["text"], w["start"]) for w in told["words"]][:2] == [("The", 1.0), ("sea", 1.4)]


def test_speech_in_no_reading_is_left_over_and_can_be_heard(folder: Path) -> None:
    left = left_over(heard(), small_plan())
    assert [(one.file, round(float(one.start)), round(float(one.end))) for one in left] == [
        ("recordings/a.wav", 13, 14)
    ]
    placed, sound = with_sound(left, folder, Fraction(30))
    assert placed[0].at == 30 + 1  # a second is heard before it, and behind it
    assert (placed[0].low, placed[0].high) == (12, 15)
    assert len(sound) == 3.4 * 48_000  # three seconds and the silence before the next stretch
    assert with_sound([Stretch("recordings/gone.wav", Fraction(0), Fraction(1))], folder, Fraction(0))[0] == []


def test_doubts_come_weightiest_first_and_certain_lines_not_at_all() -> None:
    plan = measured(small_plan())
    lines = [replace(n, confidence=0.95) for n in plan.lines]
    lines[0] = replace(
        lines[0], findings=(Finding(FindingCode.NOISY, "noisy"), Finding(FindingCode.CAPTION_FAST, "fast"))
    )
    lines[2] = replace(
        lines[2], findings=(Finding(FindingCode.UNCLEAR, "unclear"), Finding(FindingCode.EXTRA_WORDS, "more"))
    )
    found = doubts(replace(plan, lines=tuple(lines)), None)
    assert [(d.line, d.reasons) for d in found] == [("3", ("unclear", "more")), ("1", ("noisy",))]
    assert doubts(replace(plan, lines=tuple(replace(n, findings=()) for n in lines)), Heard({})) == ()


def test_a_bar_of_another_length_than_the_others_is_looked_at() -> None:
    even = tuple(12 + Fraction(5, 2) * n for n in range(5))  # 96 bpm in 4/4: a bar lasts 2.5 s
    song = replace(small_plan().songs[0], downbeats=even)
    assert doubts(replace(small_plan(), lines=(), songs=(song,)), None) == ()
    late = [m + Fraction(3, 10) if n == 1 else m for n, m in enumerate(song.downbeats)]
    (found,) = doubts(replace(small_plan(), lines=(), songs=(replace(song, downbeats=tuple(late)),)), None)
    assert (found.song, found.start) == ("out-and-in", 12)
    assert found.reasons == ("bar 1 lasts 2.80 s, and 1 more, the others 2.50 s",)


def test_the_command_writes_the_page(tmp_path: Path) -> None:
    script = tmp_path / "sea.txt"
    script.write_text("TANSY: Where does the sea go?\n", "utf-8")
    done = CliRunner().invoke(cli, ["proof", str(script)], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    assert "open it in a browser" in done.output
    assert "Where does the sea go?" in (tmp_path / "sea-out" / "proof.html").read_text("utf-8")


def test_a_plan_at_another_rate_is_told_exactly() -> None:
    plan = plan_of([line("1", "Wait!", 1, FrameRate.parse("29.97"))], EpisodeSettings(rate=FrameRate.parse("29.97")))
    assert page_data(plan, Path(), np.zeros(1, np.int16), [], [], None)["rate"] == [30000, 1001]
