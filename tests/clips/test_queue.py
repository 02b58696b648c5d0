"""First pictures and the order to generate in: one example by hand, the rules for any plan."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from tests.export.plans import line, plan_of
from timing.clips.queue import first_pictures, pictures_csv, queue, queue_csv
from timing.export.requests import request_text
from timing.model import LineKind, Origin
from timing.model.clock import FrameRate
from timing.model.placed import Delivered
from timing.model.settings import ClipProfile, EpisodeSettings
from timing.pipeline import plan_source

F = Fraction
RATE = FrameRate(F(24))
PROFILES = (
    ClipProfile("talking", (F(3), F(5), F(8), F(20)), takes=3),
    ClipProfile("effects", (F(5),), takes=2),
    ClipProfile("pans", (F(10),), takes=2, unlimited=True, minutes_each=F(15)),
)
SETTINGS = EpisodeSettings(
    profiles={p.name: p for p in PROFILES}, default_profile="talking", picture_profile="effects"
)  # fmt: skip
WORDS = "one two three four five six seven eight nine ten".split()


def talk(number, words, **more):
    return line(str(number), " ".join(WORDS[:words]) + ".", 20 * number, RATE, **more)


def known(number, words, **more):
    return talk(number, words, origin=Origin.MEASURED, **more)


def passage(number, **more):
    return line(str(number), f"Passage {number}.", 20 * number, RATE, LineKind.PICTURE, **more)


def split(plan, clip_id):
    """Return the plan with a clip in two parts of the same line."""
    clips = []
    for clip in plan.clips:
        parts = [replace(clip, id=f"{clip.id}.{n}", part=(n, 2)) for n in (1, 2)]
        clips += parts if clip.id == clip_id else [clip]
    return replace(plan, clips=tuple(clips))


def by_hand():
    """TANSY speaks three times (3 s, 5 s in two parts, 3 s estimated), BRAM once, two passages."""
    lines = [
        passage(1, profile="pans"),  # 2 s, estimated: 10 s
        known(2, 4),  # 4 words of 0.4 s and 0.6 s: 2.2 s: 3 s
        known(3, 8),  # 3.8 s: 5 s
        talk(4, 4),  # estimated: 3 s
        known(5, 4, speaker="BRAM", still="bram-close"),
        passage(6, origin=Origin.PINNED),  # effects: 5 s
    ]
    return split(plan_of(lines, SETTINGS), "C03")


def test_the_order_by_hand():
    rows = [(q.profile, q.clip, q.takes, q.waits_for) for q in queue(by_hand())]
    assert rows == [
        ("pans", "C01", 1, ""),  # the profile without a limit first
        ("pans", "C01", 1, "its first take"),
        ("talking", "C03.1", 1, ""),  # tries TANSY's picture: the longest whose length is known
        ("talking", "C05", 1, ""),  # tries BRAM's
        ("talking", "C03.1", 2, "its first take"),
        ("talking", "C02", 3, "one take of C03.1"),
        ("talking", "C05", 2, "its first take"),
        ("talking", "C03.2", 3, "C03.1 accepted"),
        ("talking", "C04", 3, "one take of C03.1"),  # estimated: last
        ("effects", "C06", 1, ""),
        ("effects", "C06", 1, "its first take"),
    ]


def test_first_pictures_by_hand():
    found = [(p.id, p.who, p.mouth, p.clips, p.longest) for p in first_pictures(by_hand())]
    assert found == [
        ("P01", "", "", ("C01",), 10),
        ("tansy-rock", "TANSY", "closed", ("C02", "C03.1", "C04"), 5),  # the second part starts from the first
        ("bram-close", "BRAM", "closed", ("C05",), 3),
        ("P06", "", "", ("C06",), 5),
    ]


def test_a_clip_without_a_head_starts_with_its_mouth_open():
    settings = EpisodeSettings(profiles={"default": ClipProfile(head=F(0))})
    (picture,) = first_pictures(plan_of([known(1, 3)], settings))
    assert picture.mouth == "open"


def test_singers_have_a_picture_of_their_own_in_each_scene():
    lines = [known(1, 3), known(2, 3, kind=LineKind.SUNG), known(3, 3, kind=LineKind.SUNG, scene="INT. CAVE")]
    assert [p.clips for p in first_pictures(plan_of(lines, SETTINGS))] == [("C01",), ("C02",), ("C03",)]


def test_a_line_put_in_before_others_renames_no_picture():
    lines = [known(2, 3), known(3, 3, speaker="BRAM"), passage(4), known(5, 3, kind=LineKind.SUNG)]
    before = {p.id: (p.who, p.scene) for p in first_pictures(plan_of(lines, SETTINGS))}
    assert list(before) == ["tansy-rock", "bram-rock", "P04", "tansy-sings-rock"]
    more = [known(1, 2), known(6, 2, scene="INT. CAVE"), known(7, 2, speaker="BRAM", scene="INT. CAVE")]
    after = {p.id: (p.who, p.scene) for p in first_pictures(plan_of([*more, *lines], SETTINGS))}
    assert before.items() <= after.items()
    assert set(after) - set(before) == {"tansy-cave", "bram-cave"}


def test_pictures_have_different_ids_whatever_scenes_are_called():
    long = "EXT. A VERY LONG BEACH WITH ROCKS AND POOLS BEYOND THE OLD HARBOUR WALL"
    scenes = ["INT. CAVE", "EXT. CAVE", long, f"{long} AT NIGHT", None]
    lines = [known(n, 2, scene=scene) for n, scene in enumerate(scenes, 1)]
    ids = [p.id for p in first_pictures(plan_of([*lines, known(6, 2, still="Tansy")], SETTINGS))]
    assert len({i.casefold() for i in ids}) == 6
    assert all(len(i) <= 42 for i in ids)
    assert (ids[0], ids[4], ids[5]) == ("tansy-cave", "tansy-2", "Tansy")  # the note's name is the note's


def test_what_is_back_is_not_queued_again():
    plan = replace(
        by_hand(),
        deliveries=(
            Delivered("C03.1", "clips/C03.1.mp4", 1, "accepted"),
            Delivered("C05", "clips/C05.mp4", 1, "delivered"),
            Delivered("C06", "clips/C06.mp4", 2, "delivered"),
            Delivered("C02", "clips/C02.mp4", 3, "asked"),  # for other words
        ),
    )
    rows = [(q.clip, q.takes, q.waits_for) for q in queue(plan) if q.profile != "pans"]
    # TANSY's and BRAM's pictures were seen, and the first part is accepted: nobody waits
    assert rows == [("C02", 3, ""), ("C05", 2, ""), ("C03.2", 3, ""), ("C04", 3, "")]


def test_the_files_have_one_row_each():
    plan = by_hand()
    rows = list(csv.DictReader(io.StringIO(queue_csv(plan, Path())["queue.csv"].decode("utf-8-sig"))))
    assert [r["order"] for r in rows] == [str(n) for n in range(1, 12)]
    assert rows[0]["minutes"] == "15"
    assert rows[8]["estimated"] == "yes"
    pictures = list(csv.DictReader(io.StringIO(pictures_csv(plan, Path())["pictures.csv"].decode("utf-8-sig"))))
    assert (pictures[1]["clips"], pictures[1]["longest_s"]) == ("C02 C03.1 C04", "5")


@st.composite
def plans(draw):
    lines = []
    for n in range(1, draw(st.integers(1, 9)) + 1):
        more = {
            "origin": draw(st.sampled_from([Origin.ESTIMATED, Origin.MEASURED])),
            "scene": draw(st.sampled_from(["ROCK", "CAVE"])),
            "profile": draw(st.sampled_from([None, "talking", "effects", "pans"])),
            "still": draw(st.sampled_from([None, None, "bay"])),
        }
        if draw(st.booleans()):
            more["speaker"] = draw(st.sampled_from(["TANSY", "BRAM"]))
            lines.append(talk(n, draw(st.integers(1, 10)), **more))
        else:
            lines.append(passage(n, **more))
    plan = plan_of(lines, SETTINGS)
    for one in lines:
        if draw(st.integers(0, 3)) == 0:
            plan = split(plan, f"C{int(one.id):02d}")
    return plan


@given(plans())
def test_every_take_is_queued_once_and_in_order(plan):
    rows = queue(plan)
    asked = {c.id: c.takes for c in plan.clips if c.ask is not None}
    assert {c: sum(q.takes for q in rows if q.clip == c) for c in asked} == asked
    seen: dict[str, int] = {}
    for row in rows:
        clip = next(c for c in plan.clips if c.id == row.clip)
        siblings = [q for q in rows if q.picture == row.picture and q.profile == row.profile and row.picture]
        if siblings and row is not siblings[0]:  # one take of the picture was seen before
            assert siblings[0].takes == 1
            assert rows.index(siblings[0]) < rows.index(row)
        if clip.part[0] > 1:
            before = clip.id[:-1] + "1"
            assert row.waits_for == f"{before} accepted"
            assert seen.get(before) == asked.get(before)
        assert row.clip not in row.waits_for.split()  # nothing waits for itself by name
        seen[row.clip] = seen.get(row.clip, 0) + row.takes
    profiles = [q.profile for q in rows]
    assert profiles == sorted(profiles, key=["pans", "talking", "effects"].index)
    for name in set(profiles):
        mine = [q.is_estimated for q in rows if q.profile == name]
        assert mine == sorted(mine)


@given(plans())
def test_every_clip_starts_from_one_first_picture_or_a_seam(plan):
    pictures = first_pictures(plan)
    started = [clip for p in pictures for clip in p.clips]
    assert sorted(started) == sorted(c.id for c in plan.clips if c.part[0] == 1)
    for picture in pictures:
        own = [c for c in plan.clips if c.id in picture.clips]
        assert picture.longest == max(c.ask or c.need for c in own)
    assert len({p.id for p in pictures}) == len(pictures)


def test_a_later_part_starts_where_the_cut_leaves_the_earlier_one(tmp_path):
    """Frame n of a file is seen at (n - 1) frames after its first; the file's first sound comes after its head."""
    text = "TANSY\nWhere does the sea go when it goes out so far, and who takes it there, Bram, in the dark?\n"
    (tmp_path / "script.fountain").write_text(text, "utf-8")
    (tmp_path / "episode.toml").write_text("[profile.x]\nlengths = [3, 4]\n", "utf-8")
    plan = plan_source(tmp_path)
    for before, after in zip(plan.clips, plan.clips[1:], strict=False):
        assert before.end_frame == after.start_frame
        file_start = before.speech_start - before.head
        last_shown = F(before.end_frame - 1, 24)
        number = (last_shown - file_start) * 24 + 1
        said = request_text(plan, after)
        assert abs(int(said.split(": frame ")[1].split()[0]) - number) <= F(1, 2)
    assert len(plan.clips) > 1
