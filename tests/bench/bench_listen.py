"""How well recordings are heard: figures for speech synthesised on the spot and for labelled human speech.

    python tests/bench/bench_listen.py [clean] [bad] [mismatch] [foreign] [foreign-mistakes] [singing] [cost]
        [--speech FOLDER] [--song FOLDER]

Synthesised speech needs Debian's flite (and espeak-ng for other languages). ``--speech`` names a folder with
cases.json and its recordings: words ({"w", "s", "e"}), vowels ({"s"}), or one "voicing_onset" each.
One frame is 1/24 s. Errors are "found minus true".
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "bench")]

from tests.recording import flite  # noqa: E402
from tests.recording.material import LINES, pronounce_english, utterance_of, words_in  # noqa: E402
from timing.hearing.aligner import align_line  # noqa: E402
from timing.model import is_vowel  # noqa: E402
from timing.sound.decode import Sound, read_audio  # noqa: E402

FRAME_MS = 1000 / 24


def report(label: str, errors_s: list[float]) -> None:
    e = np.asarray(errors_s) * 1000
    a = np.abs(e)
    if not len(e):
        print(f"{label:34s} none")
        return
    shares = " ".join(
        f"{name} {100 * np.mean(a <= limit):5.1f}"
        for name, limit in (("20 ms", 20), ("1 f", FRAME_MS), ("2 f", 2 * FRAME_MS))
    )
    levels = f"bias {np.median(e):+6.1f} median {np.median(a):5.1f} p90 {np.percentile(a, 90):6.1f} max {a.max():6.0f}"
    print(f"{label:34s} n={len(e):5d} {levels} ms | {shares} %", flush=True)


def true_words(text: str, spoken):
    """Join the synthesiser's words to those of the script ("dont" is "don't"); None where it said something else."""
    found, at = [], 0
    for word in words_in(text):
        letters, parts = "", []
        while at < len(spoken) and letters != word.replace("'", ""):
            letters += spoken[at].text
            parts.append(spoken[at])
            at += 1
        if letters != word.replace("'", ""):
            return None
        found.append((word, parts[0].start, parts[-1].end, [p for part in parts for p in part.phones]))
    return found


def compare(line, truth, shift=0.0):
    """Return (word start errors, vowel onset errors)."""
    starts, vowels = [], []
    for word, (_, start, _, phones) in zip(line.words, truth, strict=True):
        starts.append(float(word.start) - start - shift)
        true = [s for name, s, _ in phones if is_vowel(name)]
        heard = [s for syl in word.syllables for p, s, _ in syl.sounds() if is_vowel(p)]
        if len(true) == len(heard):
            vowels += [float(h) - t - shift for h, t in zip(heard, true, strict=True)]
    return starts, vowels


def synthesised(voices, step=1):
    for voice in voices:
        for text in LINES[::step]:
            samples, spoken = flite.say(text, voice)
            truth = true_words(text, spoken)
            if truth:
                yield text, samples, truth


def clean() -> None:
    starts, vowels, begun, seconds = [], [], time.perf_counter(), 0.0
    for text, samples, truth in synthesised(flite.VOICES):
        line = align_line(Sound(samples), utterance_of(text), pronounce_english)
        w, v = compare(line, truth)
        starts += w
        vowels += v
        seconds += len(samples) / 16000
    print(f"clean synthesised speech, {seconds:.0f} s, {(time.perf_counter() - begun) / seconds:.3f} of real time")
    report("  word starts", starts)
    report("  vowel onsets", vowels)


def human(folder: Path) -> None:
    starts, vowels, voicing = [], [], []
    for case in json.loads((folder / "cases.json").read_text()):
        sound = read_audio(folder / case["file"])
        line = align_line(sound, utterance_of(case["text"].lower()), pronounce_english)
        if "word_index" in case:
            sounds = [x for s in line.words[case["word_index"]].syllables for x in s.sounds()]
            onset = next(s for p, s, _ in sounds if is_vowel(p) or p in ("L", "R", "W", "Y"))
            voicing.append(float(onset) - case["voicing_onset"])
            continue
        for word, true in zip(line.words, case["words"], strict=True):
            starts.append(float(word.start) - true["s"])
            marks = [v["s"] for v in case.get("vowels", []) if true["s"] - 0.002 <= v["s"] < true["e"] - 0.002]
            heard = [s for syl in word.syllables for p, s, _ in syl.sounds() if is_vowel(p)]
            if len(marks) == len(heard):
                vowels += [float(h) - t for h, t in zip(heard, marks, strict=True)]
    print(f"human speech in {folder.name}")
    report("  word starts", starts)
    report("  vowel onsets", vowels)
    report("  voicing after a first stop", voicing)


def song(folder: Path) -> None:
    """Lines of a real song against its chart: the constant offset taken out, as charts have one."""
    import random

    from timing import find_tempo
    from timing.hearing.song_following import SungScriptedLine, align_song
    from timing.language import phones_for, read_line

    for facts in sorted(folder.glob("*.json")):
        known = json.loads(facts.read_text())
        chart = known["lines"]
        path = next(p for p in facts.parent.glob(facts.stem + ".*") if p.suffix in (".ogg", ".mp3", ".flac", ".wav"))
        spoken = [read_line(" ".join(w["w"] for w in line), "en_US", sung=True) for line in chart]
        dice = random.Random(1)
        near = [(line[0]["s"] + dice.uniform(-1, 1), line[-1]["e"] + dice.uniform(-1, 1)) for line in chart]
        # The tempo is what a person would give; the beats are the project's own.
        bpm = round(60 / float(np.median(np.diff([beat for beat, _ in known["beats_second_tracker"]]))))
        beats = find_tempo(path, bpm=bpm).beats_s
        nowhere = [(None, None)] * len(chart)
        for label, spans, given in (
            ("anchors within 1 s and beats", near, beats), ("anchors within 1 s", near, ()), ("no anchors", nowhere, ()),
        ):  # fmt: skip
            lines = [SungScriptedLine(str(n), u, *s) for n, (u, s) in enumerate(zip(spoken, spans, strict=True))]
            begun = time.perf_counter()
            found = align_song(path, lines, lambda w: phones_for(w, "en_US"), given)
            took = time.perf_counter() - begun
            starts, vowels, lost, flagged = [], [], [], []
            for n, line in enumerate(chart):
                timed = found.get(str(n))
                if timed is None or len(timed.words) != len(line):
                    lost.append(n)
                    flagged += [n] if timed is None else []
                    continue
                own = [float(w.start) - t["s"] for w, t in zip(timed.words, line, strict=True)]
                starts += own
                vowels += [float(w.syllables[0].vowel_start) - t["s"] for w, t in zip(timed.words, line, strict=True)]
                lost += [n] if np.median(np.abs(own)) > 0.5 else []
                flagged += [n] if any(f.code == "unclear" for f in timed.findings) else []
            print(f"{facts.stem}, {label}, {took:.0f} s: lost {lost} of {len(chart)} lines, flagged {flagged}")
            for name, e in (("word starts", starts), ("vowel onsets", vowels)):
                a = np.abs(np.asarray(e) - np.median(e)) * 1000
                shares = " ".join(f"{k} f {100 * np.mean(a <= k * FRAME_MS):.1f}" for k in (1, 2, 5))
                print(f"  {name:14s} n={len(a)} offset {1000 * np.median(e):+.0f} ms | {shares} %")


SINGERS = {"slt": 230, "awb": 150, "rms": 130}  # voice: the melody's first note in Hz


def singing() -> None:
    """Synthesised singing, notes of 0.4 to 0.8 s: with the song's beats, without, and with wrong ones.

    Chosen on the first 20 lines sung by slt and awb; rms with the other lines, tempos and readings is new.
    """
    import tempfile

    from tests.recording.singer import mixed, sing_song
    from tests.recording.sounds import write_wav
    from timing.hearing.song_following import SungScriptedLine, follow_song, voice_of

    for label, voices, texts, tempos, seed in (
        ("chosen on", ("slt", "awb"), LINES[:20], (75, 120, 150), 1),
        ("new", ("rms",), LINES[20:], (80, 110, 140), 7),
    ):
        songs = [
            (own := texts[n :: len(tempos)], sing_song(own, voice, bpm, SINGERS[voice], seed))
            for voice in voices
            for n, bpm in enumerate(tempos)
        ]
        for level in (None, 0, -8):
            errors: dict[str, list[float]] = {}
            lost = flagged = count = 0
            counts = [0, 0, 0]
            for own, song in songs:
                with tempfile.TemporaryDirectory() as folder:
                    path = write_wav(Path(folder) / "song.wav", mixed(song, level))
                    voice = voice_of(path)
                beat = song.beats[1] - song.beats[0]
                for name, beats in (
                    ("without beats", ()),
                    ("with the beats", song.beats),
                    ("half a beat wrong", [b + beat / 2 for b in song.beats]),
                    ("a third wrong", [b + beat / 3 for b in song.beats]),
                    ("a quarter wrong", [b + beat / 4 for b in song.beats]),
                ):
                    lines = [SungScriptedLine(str(n), utterance_of(t)) for n, t in enumerate(own)]
                    found = follow_song(voice, lines, pronounce_english, beats)
                    for n, (text, spoken) in enumerate(zip(own, song.lines, strict=True)):
                        starts, vowels = compare(found[str(n)], true_words(text, spoken))
                        errors.setdefault(name, []).extend(vowels)
                        if name == "with the beats":
                            lost += np.median(np.abs(starts)) > 0.5
                            flagged += bool(found[str(n)].findings)
                            count += 1
                told, wrong, doubted_right = _other_words(own, voice)
                counts = [a + b for a, b in zip(counts, (told, wrong, doubted_right), strict=True)]
            what = "voice alone" if level is None else f"voice {level:+d} dB beside the band"
            print(f"{label} {', '.join(voices)}: {what}; {lost} of {count} lines lost, {flagged} flagged")
            print(f"  other words sung: {counts[0]} of {counts[1]} lines told, {counts[2]} lines beside them doubted")
            for name, e in errors.items():
                report(f"  vowel onsets, {name}", e)


def _other_words(own, voice) -> tuple[int, int, int]:
    """Return (told, wrong, right but doubted) lines where one line in five has words that are not sung."""
    from timing.hearing.song_following import SungScriptedLine, follow_song

    texts = [LINES[(LINES.index(t) + 20) % 40] if n % 5 == 2 else t for n, t in enumerate(own)]
    lines = [SungScriptedLine(str(n), utterance_of(t)) for n, t in enumerate(texts)]
    found = follow_song(voice, lines, pronounce_english)
    told = [bool(found[str(n)].findings) for n in range(len(texts))]
    wrong = [n % 5 == 2 for n in range(len(texts))]
    return (
        sum(t and w for t, w in zip(told, wrong, strict=True)), sum(wrong),
        sum(t and not w for t, w in zip(told, wrong, strict=True)),
    )  # fmt: skip


def bad() -> None:
    """Every line of two voices in sound that is worse than a good recording."""
    from bad_sound import noisy, telephone, whispered

    dice = np.random.default_rng(3)
    higher = {"slt": 168 * 2 ** (5 / 12), "awb": 127 * 2 ** (5 / 12)}
    for label, change, shift in (
        ("pink noise at 10 dB", lambda x: noisy(x, 10, dice), 0),
        ("level -30 dB", lambda x: np.round(x / 31.6), 0),
        ("telephone band", telephone, 0),
        ("whisper", lambda x: whispered(x, dice), 0),
        ("+5 semitones", None, 0),
        ("5 s of room noise first", lambda x: np.concatenate([dice.standard_normal(80000) * 3, x]), 5),
    ):
        starts, vowels, told, doubted, count = [], [], 0, 0, 0
        for voice in higher:
            for text in LINES[::2]:
                samples, spoken = flite.say(text, voice, hertz=None if change else higher[voice])
                truth = true_words(text, spoken)
                if not truth:
                    continue
                changed = change(samples) if change else samples
                sound = Sound(np.clip(np.round(changed), -32768, 32767).astype(np.int16))
                line = align_line(sound, utterance_of(text), pronounce_english)
                w, v = compare(line, truth, shift)
                starts, vowels, count = starts + w, vowels + v, count + 1
                told += any(f.code == "noisy" for f in line.findings)
                doubted += any(f.code in ("not-said", "said-differently", "extra-words") for f in line.findings)
        print(f"{label}: {told} of {count} flagged as noisy, {doubted} doubted")
        report("  word starts", starts)
        report("  vowel onsets", vowels)


def mismatch() -> None:
    """Words left out, replaced, added by the reader (one a line); words doubted in readings as written.

    What words are judged by was fitted on readings of LINES by slt, rms and awb. Of the fresh lines and kal16 it has
    seen nothing. "Beside": the doubt stands at the word or right beside it ("of" missing in "father of the").
    """
    import random

    from mismatch_lines import LINES as FRESH

    pool = sorted({w for text in LINES + FRESH for w in words_in(text) if len(w) > 3})
    for label, texts, voices in (
        ("fitted", LINES[::2], ("slt", "rms")),
        ("new", FRESH, ("awb", "slt")),
        ("new lines and voice", FRESH, ("kal16",)),
    ):
        dice = random.Random(4)
        caught: dict[str, list[bool]] = {"left out": [], "replaced": [], "added": []}
        beside: list[bool] = []
        false = words = extras = lines = 0
        for seed, voice in ((seed, voice) for seed in (1, 2) for voice in voices):
            for text in texts:
                said = words_in(text)
                k = dice.randrange(1, len(said) - 1)
                other = dice.choice([w for w in pool if w not in said])
                for kind, reading in (
                    ("", said),
                    ("left out", said[:k] + said[k + 1 :]),
                    ("replaced", [*said[:k], other, *said[k + 1 :]]),
                    ("added", [*said[:k], other, *said[k:]]),
                ):
                    sound = Sound(flite.say(" ".join(reading) if kind else text, voice, seed)[0])
                    script = text if not kind else " ".join(said)
                    line = align_line(sound, utterance_of(script), pronounce_english)
                    wrong, extra = doubted(line.findings)
                    if not kind:
                        false, words, extras, lines = (
                            false + len(wrong), words + len(said), extras + len(extra), lines + 1
                        )  # fmt: skip
                    elif kind == "added":
                        caught[kind].append(bool({k, k - 1} & wrong or {k, k + 1} & extra))
                    else:
                        caught[kind].append(k in wrong)
                        beside.append(bool({k - 1, k, k + 1} & (wrong | extra)))
        both = caught["left out"] + caught["replaced"]
        shares = f"{100 * np.mean(both):.1f} % of {len(both)} words left out or replaced found"
        print(f"{label}, {', '.join(voices)}: {shares}, {100 * np.mean(beside):.1f} % told there or right beside")
        for kind, hits in caught.items():
            print(f"  {kind}: {100 * np.mean(hits):.1f} % of {len(hits)} found")
        print(f"  as written: {100 * false / words:.2f} % of {words} words doubted, {extras} extras in {lines} lines")


def mismatch_human(folder: Path) -> None:
    """The same in human speech, where the script is changed instead: a word more than was said, or another one."""
    import random

    dice = random.Random(3)
    little = "the a and of to in it that was for on with he is as at his her by not but you all so my we".split()
    pool = sorted({w for text in LINES for w in words_in(text) if len(w) > 3})
    found: dict[str, list[bool]] = {"not said": [], "said differently": []}
    false = words = 0
    for case in json.loads((folder / "cases.json").read_text()):
        sound, said = read_audio(folder / case["file"]), words_in(case["text"])
        jobs = [("", said, 0)]
        for number in range(3):
            k = dice.randrange(1, len(said))
            other = dice.choice([w for w in (little if number < 2 else pool) if w not in said])
            jobs.append(("not said", [*said[:k], other, *said[k:]], k))
            k = dice.randrange(1, len(said) - 1)
            other = dice.choice([w for w in pool if w not in said])
            jobs.append(("said differently", [*said[:k], other, *said[k + 1 :]], k))
        for kind, script, k in jobs:
            wrong, _ = doubted(align_line(sound, utterance_of(" ".join(script)), pronounce_english).findings)
            if kind:
                found[kind].append(k in wrong)
            else:
                false, words = false + len(wrong), words + len(said)
    shares = ", ".join(f"{kind} {100 * np.mean(hits):.1f} % of {len(hits)} found" for kind, hits in found.items())
    print(f"human speech in {folder.name}, script changed: {shares}; as written {false} of {words} words doubted")


def doubted(findings) -> tuple[set[int], set[int]]:
    """Return (words not said or said differently, words before which something unscripted is said)."""
    wrong = {i for f in findings if f.code in ("not-said", "said-differently") for i in f.facts["words"]}
    return wrong, {f.facts["word"] for f in findings if f.code == "extra-words"}


def said_by_espeak(jobs):
    """Return each job's (samples, words); a fresh process says each, as the synthesiser's sound depends on the last."""
    import multiprocessing

    import espeak

    with multiprocessing.get_context("spawn").Pool(1, maxtasksperchild=1) as pool:
        return dict(zip(jobs, pool.starmap(espeak.say, jobs, chunksize=1), strict=True))


def foreign() -> None:
    """Word starts in other languages: the lines on which things were chosen, and others by the same and other voices."""
    from foreign_lines import CONFIRM, FOREIGN, OTHER_VOICES

    from timing.language import phones_for, read_line

    confirmed: list[list[float]] = []
    for language, (voice, chosen) in FOREIGN.items():
        sets = [("chosen on", chosen, (voice, 150, 50))]
        sets += [("confirm", CONFIRM[language][1], v) for v in ((voice, 150, 50), *OTHER_VOICES[language])]
        said = said_by_espeak([(text, *v) for _, texts, v in sets for text in texts.splitlines()])
        for label, texts, v in sets:
            starts, rough, told = [], 0, 0
            for text in texts.splitlines():
                samples, spoken = said[text, *v]
                line = align_line(Sound(samples), read_line(text, language), lambda w, k=language: phones_for(w, k))
                rough += any(f.code == "rough" for f in line.findings)
                told += any(f.code in ("not-said", "said-differently", "extra-words") for f in line.findings)
                if len(line.words) == len(spoken):
                    starts += [float(w.start) - s for w, (_, s) in zip(line.words, spoken, strict=True)]
                else:
                    print("  not compared:", text, [w for w, _ in spoken])
            report(f"{label}, {v[0]} at {v[1]} ({rough} rough, {told} doubted)", starts)
            confirmed += [starts] if label == "confirm" else []
    report(f"confirm, {len(confirmed)} voices", [e for starts in confirmed for e in starts])
    worst = [min(100 * np.mean(np.abs(e) * 24 <= frames) for e in confirmed) for frames in (1, 2)]
    print(f"its weakest voice: 1 f {worst[0]:.1f} 2 f {worst[1]:.1f} %")


def foreign_mistakes() -> None:
    """One word of two or more syllables left out, or replaced; words doubted in readings as written."""
    import random

    from foreign_lines import CONFIRM, FOREIGN

    from timing.language import phones_for, read_line

    for label, lines in (("chosen on", FOREIGN), ("confirm", CONFIRM)):
        total = np.zeros(5)
        for language, (voice, texts) in lines.items():
            dice = random.Random(5)
            read = [read_line(text, language) for text in texts.splitlines()]
            long = [[i for i, w in enumerate(u.words[:-1]) if i and len(w.syllables) > 1] for u in read]
            pool = sorted({bare(u.words[i].text).lower() for u, which in zip(read, long, strict=True) for i in which})
            cases = []
            for u, which in zip(read, long, strict=True):
                if not which:
                    continue
                k, texts_ = dice.choice(which), [w.text for w in u.words]
                other = dice.choice([w for w in pool if w not in u.text.lower()])
                swapped = texts_[k].replace(bare(texts_[k]), other)
                cases.append((u, k, u.text, " ".join(texts_[:k] + texts_[k + 1 :]),
                              " ".join([*texts_[:k], swapped, *texts_[k + 1 :]])))  # fmt: skip
            said = said_by_espeak([(text, voice) for _, _, *readings in cases for text in readings])
            found, false, words = [0, 0], 0, 0
            for u, k, *readings in cases:
                for kind, text in enumerate(readings):
                    line = align_line(Sound(said[text, voice][0]), u, lambda w, c=language: phones_for(w, c))
                    wrong, _ = doubted(line.findings)
                    if kind:
                        found[kind - 1] += k in wrong
                    else:
                        false, words = false + len(wrong), words + len(u.words)
            counts = np.array([*found, len(cases), false, words])
            total += counts
            _mistakes(f"{label}, {language}", counts)
        _mistakes(f"{label}, all", total)


def _mistakes(label: str, counts) -> None:
    """Print (found of those left out, of those replaced, cases, doubted as written, words as written)."""
    out, swapped, cases, false, words = counts
    print(
        f"{label}: of {cases:.0f} words left out {100 * out / cases:.0f} % found, of as many replaced "
        f"{100 * swapped / cases:.0f} %; as written {100 * false / words:.1f} % of {words:.0f} words doubted",
        flush=True,
    )


def bare(word: str) -> str:
    return word.strip("\"'“”‘’«»()[].,;:!?…—–-¿¡")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("parts", nargs="*", default=["clean"])
    parser.add_argument("--speech", type=Path)
    parser.add_argument("--song", type=Path)
    chosen = parser.parse_args()
    if "clean" in chosen.parts:
        clean()
    for name, part in (
        ("bad", bad),
        ("mismatch", mismatch),
        ("foreign", foreign),
        ("singing", singing),
        ("foreign-mistakes", foreign_mistakes),
    ):
        if name in chosen.parts:
            part()
    if "mismatch" in chosen.parts and chosen.speech:
        mismatch_human(chosen.speech)
    if "cost" in chosen.parts:
        from cost_of_listening import cost

        cost()
    if chosen.song:
        song(chosen.song)
    if chosen.speech:
        human(chosen.speech)


if __name__ == "__main__":
    main()
