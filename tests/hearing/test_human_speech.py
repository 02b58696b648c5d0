"""Words and vowels of recorded people against labels that people set.

mary, bobby: praatio 6.2.2, examples/files (MIT); three_plus_five, two_plus_two: phonlab 0.0.70, example audio
(BSD-3-Clause); licences beside them in data/. The labels look hand-set; neither source states how. A frame is 1/24 s.
The limits are those published for people and machines: vowel onsets within a frame, words within two (people agree on
93.5 % of boundaries within 20 ms: Hosom, Speech Communication 51, 2009; machines' mean word error on read speech is
about 21 ms: McAuliffe et al. 2017).
"""

from __future__ import annotations

import re

import pytest

from tests.recording.material import pronounce_english, utterance_of
from tests.recording.sounds import DATA
from timing.hearing.aligner import align_line
from timing.model import is_vowel
from timing.sound.decode import read_audio

FRAME = 1 / 24
CASES = {  # recording: (words' TextGrid, phones' TextGrid)
    "mary": ("mary", "mary"),
    "bobby": ("bobby_words", "bobby_phones"),
    "three_plus_five": ("three_plus_five", "three_plus_five"),
    "two_plus_two": ("two_plus_two", "two_plus_two"),
}


def tier(name: str, wanted: str) -> list[tuple[float, str]]:
    """The (start, text) of a TextGrid's intervals that have a text, from its long or its short form."""
    content = (DATA / f"{name}.TextGrid").read_text(encoding="utf-8")
    if "item [" in content:
        body = next(b for b in re.split(r"item \[\d+\]", content) if f'name = "{wanted}"' in b)
        rows = re.findall(r'xmin = ([\d.]+)\s+xmax = [\d.]+\s+text = "(.*?)"', body)
    else:
        body = content.split(f'"{wanted}"')[1].split('"IntervalTier"')[0].split('"TextTier"')[0]
        rows = re.findall(r'([\d.]+)\n[\d.]+\n"(.*?)"', body)
    return [(float(start), text) for start, text in rows if text.strip()]


@pytest.mark.parametrize("name", CASES)
def test_words_within_two_frames_and_vowels_within_one(name):
    words = tier(CASES[name][0], "word")
    text = " ".join(text.lower() for _, text in words)
    line = align_line(read_audio(DATA / f"{name}.wav"), utterance_of(text), pronounce_english)
    for word, (start, label) in zip(line.words, words, strict=True):
        assert float(word.start) == pytest.approx(start, abs=2 * FRAME), label
    marks = [s for s, label in tier(CASES[name][1], "phone") if re.match(r"[aeiouəœæɛɪʌAEIOU]", label)]
    ends = [start for start, _ in words[1:]] + [99.0]
    compared = 0
    for word, (start, label), end in zip(line.words, words, ends, strict=True):
        labelled = [m for m in marks if start - 0.002 <= m < end - 0.002]
        heard = [float(s) for syllable in word.syllables for p, s, _ in syllable.sounds() if is_vowel(p)]
        if len(labelled) == len(heard):  # the labeller heard no vowel in the second half of "barrel"
            assert heard == pytest.approx(labelled, abs=FRAME), label
            compared += 1
    assert compared >= len(words) - 1
    assert not [f for f in line.findings if f.code in ("not-said", "extra-words", "unclear")]


def test_the_length_of_a_line_is_that_of_its_words():
    """By the labels mary's line runs from 0.315 to 1.518 s; the file lasts 1.87 s."""
    line = align_line(read_audio(DATA / "mary.wav"), utterance_of("mary rolled the barrel"), pronounce_english)
    assert float(line.length) == pytest.approx(1.518 - 0.315, abs=0.12)


def test_another_sentence_is_not_taken_for_the_line():
    line = align_line(read_audio(DATA / "mary.wav"), utterance_of("seven shells are under water"), pronounce_english)
    assert {"said-differently", "not-said"} & {f.code for f in line.findings}
    assert line.confidence < 0.5
