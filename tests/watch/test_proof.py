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
from timing.model import Delivered, Finding, Origin, Plan
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
    started.resize(1280, 900)
    started.run("if (typeof edits !== 'undefined') edits = { words: {}, given: {}, bars: {} }")
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
    assert browser.run("audio.playbackRate") == 0.5
    browser.press(" ")
    at = browser.run("audio.currentTime")
    browser.run("new Promise(done => setTimeout(done, 150))")
    assert browser.run("audio.paused")
    assert browser.run("audio.currentTime") == at


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
    assert (text_of(browser, "#frame"), text_of(browser, "#clock")) == ("3 of 82", "0:00+20")


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
    assert text_of(browser, slider(1, "start")) == "1.480"  # 1.4 s and eight times 10 ms
    assert text_of(browser, slider(0, "end")) == "1.480"  # the word before touched it, so it goes along
    assert browser.run("document.activeElement.dataset.word") == "1"
    assert browser.run("isUnsaved()")
    browser.press("s")
    found = rows(browser.downloaded("a.txt"))
    assert not browser.run("isUnsaved()")
    assert text_of(browser, "#files li").endswith("· saved")
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
    assert float(text_of(browser, slider(1, "end"))) == pytest.approx(1.95, abs=0.002)
    assert float(text_of(browser, slider(2, "start"))) == pytest.approx(1.95, abs=0.002)
    assert text_of(browser, slider(2, "end")) == "2.200"
    assert not browser.run("byId('undo').disabled")
    browser.click("#undo")
    assert text_of(browser, slider(1, "end")) == "1.800"
    assert browser.run("!isUnsaved() && byId('undo').disabled && byId('files').children.length === 0")


@needs_browser
def test_no_word_can_be_moved_over_its_neighbour_or_before_its_sound(browser: Browser) -> None:
    browser.run("choose(lineById.get('1')); moveEdge(state.line, 1, 'start', -5)")
    assert browser.run("wordsOf(state.line).slice(0, 2)") == [[1, 1.02], [1.02, 1.8]]
    browser.run("moveEdge(state.line, 0, 'start', -5)")
    assert browser.run("wordsOf(state.line)[0][0]") == 0.5  # the recording begins there


@needs_browser
def test_words_of_a_split_line_are_saved_beside_the_clip_they_lie_in(started: Browser, tmp_path: Path) -> None:
    one = replace(line("1", "Out it goes and in.", 1, RATE), delivered=("clips/C01.1.mp4",))
    plan = plan_of([one])
    halves = [replace(plan.clips[0], id=f"C01.{n}", part=(n, 2), words=span) for n, span in ((1, (0, 3)), (2, (3, 5)))]
    back = Delivered("C01.1", "clips/C01.1.mp4", is_measured=True, speech_start=Fraction(3, 4))
    path = tmp_path / "proof.html"
    path.write_bytes(silent_page(replace(plan, clips=tuple(halves), deliveries=(back,))))
    started.run("if (typeof edits !== 'undefined') edits = { words: {}, given: {}, bars: {} }")
    started.open(path)
    started.until("typeof plan !== 'undefined' && columns.words")
    started.run("choose(lineById.get('1')); remember(); moveEdge(state.line, 2, 'end', 2.5); refresh()")
    assert started.run("wordsOf(state.line).slice(2, 4)") == [[1.8, 2.2], [2.2, 2.6]]  # what is not back stays
    started.run("remember(); moveEdge(state.line, 2, 'start', 1.9); refresh()")
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
    browser.click("#left li button:nth-of-type(2)")
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
    browser.run("document.querySelector('#songs [role=slider]').focus()")
    browser.press("ArrowLeft")
    browser.press("s")
    assert rows(browser.downloaded("out-and-in.txt")) == [
        ["0.090000", "0.090000", "bar 1"], ["2.600000", "2.600000", "bar 2"], ["5.100000", "5.100000", "bar 3"],
    ]  # fmt: skip


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
    browser.run("choose(lineById.get('1')); remember(); moveEdge(state.line, 1, 'start', 1.5); refresh()")
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
    wanted = browser.run("document.querySelectorAll('button:not(:disabled), select, input, [tabindex=\"0\"]').length")
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
    assert browser.run("document.activeElement.getAttribute('aria-valuetext')") == "1.40 seconds, episode frame 34"


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
    ms = started.run(
        "(() => { const t = performance.now(); for (let n = 0; n < 50; n++) { state.at = 1000 + n / 24; paint(); }"
        " return (performance.now() - t) / 50; })()"
    )
    assert ms < 100  # a few on an idle machine; the tests may run beside anything


def silent_page(plan: Plan) -> bytes:
    """The page with a track of one second: nobody waits for an hour of silence to be encoded."""
    from timing.watch import proof
    from timing.watch.film import sound_file

    track = np.zeros(48_000, np.int16)
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
    assert placed[0].at == 30 + Fraction(1, 5)  # a fifth of a second is heard before it
    assert 1.4 * 48_000 <= len(sound) <= 1.9 * 48_000
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
