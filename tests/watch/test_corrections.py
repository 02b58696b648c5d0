"""From the page to the next run: what was mended in the browser, saved and put beside the sounds is obeyed."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.delivery.deliveries import example_folder
from tests.watch.browser import Browser, find
from timing.model import Origin, Plan
from timing.pipeline import make_plan
from timing.script.source import open_source
from timing.watch.proof import proof_page

pytestmark = pytest.mark.skipif(find() is None, reason="no Chromium is installed")


def offsets(plan: Plan, line_id: str) -> list[float]:
    """Where each word of a line begins, from the line's own beginning."""
    line = plan.line(line_id)
    return [float(word.start - line.start) for word in line.words]


def test_what_the_page_saves_is_obeyed_by_the_next_run(tmp_path: Path) -> None:
    folder = example_folder(tmp_path / "low-tide")
    source = open_source(folder)
    made = make_plan(source)
    before = made.plan
    page = folder / "out" / "proof.html"
    page.write_bytes(proof_page(before, folder, made.heard)[0])
    browser = Browser(tmp_path / "browser")
    try:
        browser.open(page)
        browser.until("typeof plan !== 'undefined' && columns.words && !isAsked")
        # A spoken word 80 ms and a sung one 50 ms later, by keys; every bar of the song 40 ms later.
        for line_id, word, presses in (("3", 2, 8), ("13", 4, 5)):
            edge = f'[data-word="{word}"][data-side=start]'
            browser.run(f"choose(lineById.get('{line_id}')); document.querySelector('{edge}').focus()")
            for _ in range(presses):
                browser.press("ArrowRight")
        for moment in before.songs[0].downbeats:
            browser.run(f"seek({float(moment) + 0.04}); tap()")
        browser.run("canvas.focus()")
        browser.press("s")
        for name, below in (("3 bram.txt", "recordings"), ("out-and-in.txt", "songs")):
            (folder / below / name).write_bytes(browser.downloaded(name))
    finally:
        browser.close()
    after = make_plan(source).plan
    for line_id, word, by in (("3", 2, 0.08), ("13", 4, 0.05)):
        assert after.line(line_id).origin is Origin.PINNED
        expected = offsets(before, line_id)
        expected[word] += by
        assert offsets(after, line_id) == pytest.approx(expected, abs=2e-3)
    song, tapped = before.songs[0], after.songs[0]
    assert [float(m - tapped.start) for m in tapped.downbeats] == pytest.approx(
        [float(m - song.start) + 0.04 for m in song.downbeats], abs=1e-3
    )
    spoken = [line.id for line in before.lines if line.words and not line.song and line.id != "3"]
    assert [offsets(after, i) for i in spoken] == [offsets(before, i) for i in spoken]
