"""Waits hold time on the clock, sound cues are marks that take none: worked by hand from the default handles.

Default gap 0.6 s = tail 0.35 s + head 0.25 s; a wait lies between the handles of the clips around it.
"""

from fractions import Fraction

import pytest

from timing import plan
from timing.model import LineKind, Passage
from timing.script import parse_script

SPEECHES = "TANSY: Where does the sea go?\n{}\nBRAM: It hides.\n"


def made(tmp_path, between):
    script = tmp_path / "script.txt"
    script.write_text(SPEECHES.format(between), "utf-8")
    return plan(script)


def length_between(found):
    first, last = (line for line in found.lines if line.kind is LineKind.SPOKEN)
    return last.start - first.end


@pytest.mark.parametrize(
    ("between", "seconds"),
    [
        ("", 0),
        ("\n[[pause 3 s]]\n", 3),
        ("\n[[wait 2 s]]\n", 2),
        ("\n[pause 3 seconds for the children]\n", 3),
        ("(waits for an answer)", 3),  # three seconds: see timing.script.passages
        ("[[pause 0.5 s]]", Fraction(1, 2)),
        ("\n(Pausa de dois segundos)\n", 2),
    ],
)
def test_a_wait_adds_its_seconds_to_the_clock(tmp_path, between, seconds):
    assert abs(length_between(made(tmp_path, between)) - Fraction(6, 10) - seconds) <= Fraction(1, 24)


def test_a_wait_has_a_clip_only_where_somebody_is_said_to_wait(tmp_path):
    held = made(tmp_path, "\n[[pause 3 s]]\n")
    assert [c.line for c in held.clips] == ["1", "3"]
    listening = made(tmp_path, "(waits for an answer)")
    clip = next(c for c in listening.clips if c.line == "2")
    assert (clip.speaker, clip.kind, clip.ask) == ("TANSY", LineKind.PICTURE, 3)
    assert "listens" in clip.text


def test_a_sound_cue_takes_no_time_and_no_clip_and_stands_on_the_marker_list(tmp_path):
    from timing.export.editing import markers_csv

    found = made(tmp_path, "\nSFX: PLOP!\n")
    assert abs(length_between(found) - Fraction(6, 10)) <= Fraction(1, 24)
    assert [c.line for c in found.clips] == ["1", "3"]
    rows = markers_csv(found, tmp_path)["markers.csv"].decode("utf-8-sig").splitlines()
    cue = next(row for row in rows if row.endswith(",sound,2,PLOP!"))
    # The speech of line 1 ends, its clip's tail of 0.35 s runs out: 8.4 frames at 24 a second.
    assert int(cue.split(",")[0]) == found.rate.frame_at(found.lines[0].end + Fraction(35, 100))


def test_a_sound_with_a_length_holds_it(tmp_path):
    assert abs(length_between(made(tmp_path, "\n[SFX: splash] [[2 s]]\n")) - Fraction(26, 10)) <= Fraction(1, 24)


def test_the_advice_about_a_wait_works_as_printed():
    found = parse_script("TANSY: Where?\n(waits for the children)\n", "s.txt").lines[1]
    advice = found.findings[0].message.partition("into it: ")[2]
    again = parse_script(f"TANSY: Where?\n{advice}\n", "s.txt").lines[1]
    assert (again.passage, again.length.amount, again.findings) == (Passage.WAIT, 4, ())


def test_the_advice_about_the_end_of_a_song_works_as_printed():
    song = "Song: Out and In\nTANSY: Out and in\n\nTANSY: That was nice.\n"
    message = next(f.message for f in parse_script(song, "s.txt").findings if f.code == "song-end-assumed")
    advice = message.partition("write ")[2].partition(" before")[0]
    lines = parse_script(song.replace("\n\nTANSY", f"\n\n{advice}\n\nTANSY"), "s.txt").lines
    assert [(line.kind, line.text) for line in lines] == [("sung", "Out and in"), ("spoken", "That was nice.")]


def test_a_sound_cue_within_a_speech_falls_on_its_word(tmp_path):
    path = tmp_path / "s.txt"
    path.write_text(
        "BRAM: Wow, great [SFX: splash] is it deep?\nBRAM: Here it goes\nsfx plop\nagain. (bell rings)\n", "utf-8"
    )
    found = plan(path)
    spoken = [line for line in found.lines if line.words]
    cues = {line.text: line for line in found.lines if line.passage is Passage.SOUND}
    at = {word.text: word.start for line in spoken for word in line.words}
    assert cues["splash"].start == at["is"]
    assert cues["plop"].start == at["again."]
    assert [c.line for c in found.clips] == [line.id for line in spoken]


def test_nobody_is_told_to_close_a_mouth_that_no_one_is_named_for(tmp_path):
    from timing.export.requests import clip_requests

    for name, told in (("", "who sings is not named in the script"), ("TANSY:\n", "mouth closed before and after")):
        path = tmp_path / "s.txt"
        path.write_text(f"BRAM: Sing!\n\n[Chorus]\n{name}~ Out and in, the sea goes\n", "utf-8")
        (request,) = [text for text in clip_requests(plan(path), tmp_path).values() if b"singing:" in text]
        assert told in request.decode()
