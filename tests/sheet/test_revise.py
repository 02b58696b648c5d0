"""Revised sets: what keeps its number, what gets a letter, what is thrown away.

The rule is the trade's: an added scene takes a letter after the number, a removed one is left out, nothing is
renumbered (B. Lemay, "Exposure Sheets").
"""

from __future__ import annotations

import io
import json
from dataclasses import replace
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from tests.sheet import plans
from timing.model import Delivered, Origin, Plan
from timing.sheet import render_sheets
from timing.sheet.document import lay_out
from timing.sheet.ink import Page
from timing.sheet.printed_set import SheetSet

TALK = list(plans.TALK)
IDS = [str(n + 1) for n in range(len(TALK))]
NEW = ("BRAM", "*New *line, *here it *is.")


def frame_labels(made: SheetSet) -> dict[tuple[str, int], str]:
    """Return the label of the sheet on which each panel of each clip stands."""
    return {
        (name.split("/")[0], int(name.split("/")[1]) - 1): s["label"]
        for s in made.register["sheets"]
        if s["part"] == "frames"
        for name in s["facts"].split(" ")
    }


def made(talk: list[tuple[str, str]], ids: list[str], previous: SheetSet | None = None, **sheet: object) -> SheetSet:
    register = None if previous is None else json.loads(json.dumps(previous.register))
    return render_sheets(plans.talk_plan(talk, ids, **sheet), register)


def test_a_first_set_counts_from_one_and_has_nothing_to_replace() -> None:
    first = made(TALK, IDS)
    labels = list(dict.fromkeys(frame_labels(first).values()))
    assert labels == [str(n + 1) for n in range(len(labels))]
    assert first.reprint == ()


def test_a_rerun_without_a_change_gives_the_same_bytes() -> None:
    first = made(TALK, IDS)
    second = made(TALK, IDS, first)
    assert second.pdf == first.pdf
    assert second.register == first.register


def test_a_line_added_in_the_middle_keeps_every_other_sheet() -> None:
    first = made(TALK, IDS)
    second = made([*TALK[:2], NEW, *TALK[2:]], ["1", "2", "2A", *IDS[2:]], first)
    before, after = frame_labels(first), frame_labels(second)
    assert {place: label for place, label in after.items() if place in before} == before
    behind = before["C02", 0]
    assert [after[place] for place in after if place not in before] == [f"{behind} A"]
    assert second.reprint[0] == f"Frame sheets: print {behind} A, new, behind {behind}."


def test_a_rerun_of_a_revised_set_still_shows_what_to_replace() -> None:
    first = made(TALK, IDS)
    talk, ids = [*TALK[:2], NEW, *TALK[2:]], ["1", "2", "2A", *IDS[2:]]
    second = made(talk, ids, first)
    third = made(talk, ids, second)
    assert third.pdf == second.pdf
    assert third.reprint == second.reprint


def test_a_reworded_line_replaces_its_sheets_with_the_next_letter() -> None:
    first = made(TALK, IDS)
    second = made([("TANSY", "*Bram, *wake *up! *Some-bo-dy *stole the *sea!"), *TALK[1:]], IDS, first)
    third = made([("TANSY", "*Bram, *get *up! *Some-bo-dy *stole the *sea!"), *TALK[1:]], IDS, second)
    place = ("C01", 0)
    assert [frame_labels(m)[place] for m in (first, second, third)] == ["1", "1 A", "1 B"]
    assert "print 1 B in place of 1 A (words)" in third.reprint[0]
    assert frame_labels(third)["C04", 0] == frame_labels(first)["C04", 0]
    changed = next(s["changed"] for s in third.register["sheets"] if s["anchor"] == "C01" and s["part"] == "frames")
    assert changed
    assert len(changed) < 20  # only the rows of the word that is new


def test_a_removed_line_is_thrown_away_and_its_number_is_not_used_again() -> None:
    first = made(TALK, IDS)
    gone = frame_labels(first)["C03", 0]
    second = made([*TALK[:2], *TALK[3:]], [*IDS[:2], *IDS[3:]], first)
    assert f"throw away {gone}" in second.reprint[0]
    third = made([*TALK[:2], NEW, *TALK[3:]], ["1", "2", "2A", *IDS[3:]], second)
    assert gone not in frame_labels(third).values()


def test_lines_added_at_the_end_count_on() -> None:
    first = made(TALK, IDS)
    last = max(int(label) for label in frame_labels(first).values())
    second = made([*TALK, NEW], [*IDS, "7"], first)
    assert frame_labels(second)["C07", 0] == str(last + 1)


def test_another_paper_is_another_set() -> None:
    first = made(TALK, IDS)
    second = made(TALK, IDS, first, paper="Letter")
    assert "print the whole set" in second.reprint[0]
    labels = list(dict.fromkeys(frame_labels(second).values()))
    assert labels == [str(n + 1) for n in range(len(labels))]


def test_a_register_nobody_can_read_counts_as_none() -> None:
    for broken in ({}, {"version": 99}, {"version": 1, "sheets": "x"}, {"version": 1, "design": "", "content": "",
                   "letters": {}, "reprint": [], "sheets": [{"part": "frames"}]}):  # fmt: skip
        assert render_sheets(plans.talk_plan(), broken).pdf == made(TALK, []).pdf


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(["add", "remove", "reword"]), st.integers(0, 5)), min_size=1, max_size=6))
def test_no_label_ever_stands_on_two_different_papers(edits: list[tuple[str, int]]) -> None:
    talk, ids = list(TALK), list(IDS)
    current = made(talk, ids, parts=("frames",))
    papers: dict[tuple[str, str], str] = {}
    for step, (kind, at) in enumerate(edits):
        at = min(at, len(talk) - 1)
        if kind == "add":
            talk.insert(at + 1, ("BRAM", f"*Num-ber {'*foam ' * (step + 1)}"))
            ids.insert(at + 1, f"9{step}")
        elif kind == "remove" and len(talk) > 1:
            del talk[at], ids[at]
        else:
            talk[at] = (talk[at][0], talk[at][1] + f" *x{step}")
        current = made(talk, ids, current, parts=("frames",))
        for sheet in current.register["sheets"]:
            name = (sheet["part"], sheet["label"])
            assert papers.setdefault(name, sheet["hash"]) == sheet["hash"], f"two papers are called {name}"
        labels = [(s["part"], s["label"]) for s in current.register["sheets"]]
        assert len(set(labels)) == len(labels)


def change_bars(page: Page) -> list[list[tuple[float, float]]]:
    """Return the bars of change on a page: black, 0.8 mm wide."""
    across = [(max(x for x, _ in s) - min(x for x, _ in s), s) for s in page.ink.fills.get(0.0, [])]
    return [shape for width, shape in across if abs(width - 0.8) < 0.001]


def test_changed_rows_carry_a_bar_a_printer_can_print_and_the_first_page_says_what_to_replace() -> None:
    first = made(TALK, IDS)
    talk = [("TANSY", "*Bram, *wake *up! *Some-bo-dy *stole the *sea!"), *TALK[1:]]
    pages = lay_out(plans.talk_plan(talk, IDS), first.register)
    texts = [text for group in pages[0].ink.texts.values() for _, _, text in group]
    assert "Since the last set" in texts
    assert "Frame sheets: print 1 A in place of 1 (words)." in texts
    sheet = next(page for page in pages if page.key == "sheet-C01-1")
    changed = next(s["changed"] for s in made(talk, IDS, first).register["sheets"] if s["anchor"] == "C01")
    assert len(change_bars(sheet)) == len(changed) + 1 > 1  # and the one in the legend
    unchanged = next(page for page in pages if page.key == "sheet-C03-1")
    assert not change_bars(unchanged)


def after(first: SheetSet, plan: Plan) -> SheetSet:
    return render_sheets(plan, json.loads(json.dumps(first.register)))


def test_a_sheet_to_print_says_why() -> None:
    plan = plans.talk_plan(TALK, IDS)
    first = render_sheets(plan)
    label = frame_labels(first)["C03", 0]

    def why(change: Plan) -> str:
        told = after(first, change).reprint[0]
        assert told.startswith(f"Frame sheets: print {label} A in place of {label} (")
        return told.split("(", 1)[1].split(")")[0]

    line, clip = plan.lines[2], plan.clips[2]
    lines, clips = list(plan.lines), list(plan.clips)

    def with_line(**new: object) -> Plan:
        return replace(plan, lines=(*lines[:2], replace(line, **new), *lines[3:]))  # type: ignore[arg-type]

    assert why(with_line(text="All of them?")) == "words"
    assert why(with_line(directions=("whispered",))) == "direction"
    assert why(with_line(take="recordings/3 tansy.ogg", origin=Origin.MEASURED)) == "recording"
    more = replace(clip, ask=(clip.ask or 0) + 1)
    assert why(replace(plan, clips=(*clips[:2], more, *clips[3:]))) == "what to ask for"
    back = Delivered("C03", "clips/C03.mp4", 1, "delivered", True, Fraction(1, 4))
    assert why(replace(plan, deliveries=(back,))) == "what came back"


def test_an_estimated_line_that_moves_with_its_speakers_pace_says_so() -> None:
    """Nothing of the line itself changed: its syllables are each a frame later."""
    plan = plans.talk_plan(TALK, IDS)
    line = replace(plan.lines[2], origin=Origin.ESTIMATED)
    slower = tuple(
        replace(
            w,
            syllables=tuple(replace(s, start_frame=s.start_frame + 1, end_frame=s.end_frame + 1) for s in w.syllables),
        )
        for w in line.words
    )
    was = replace(plan, lines=(*plan.lines[:2], line, *plan.lines[3:]))
    now = replace(was, lines=(*plan.lines[:2], replace(line, words=slower), *plan.lines[3:]))
    told = after(render_sheets(was), now).reprint
    assert "(own pace)" in told[0]
    assert told[1].startswith("Own pace: nothing of these clips changed")


def test_the_pages_to_print_are_named_as_the_printer_counts_them() -> None:
    first = made(TALK, IDS)
    second = made([("TANSY", "*Bram, *get *up! *Some-bo-dy *stole the *sea!"), *TALK[1:]], IDS, first)
    number = PdfReader(io.BytesIO(second.pdf)).page_labels.index("frame sheet 1 A") + 1
    assert f"These sheets are page {number} of sheets.pdf." in second.reprint


def test_a_set_without_its_forerunner_says_that_it_has_nothing_to_compare() -> None:
    plan = plans.talk_plan(TALK, IDS)
    lost = render_sheets(plan, None, was_printed=True)
    assert lost.reprint[0].startswith("No earlier set here to compare")
    text = PdfReader(io.BytesIO(lost.pdf)).pages[0].extract_text()
    assert "No earlier set here to compare" in text
    again = render_sheets(plan, json.loads(json.dumps(lost.register)), was_printed=True)
    assert again.pdf == lost.pdf  # a rerun says the same
    assert render_sheets(plan, None).reprint == ()
