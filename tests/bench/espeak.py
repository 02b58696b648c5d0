"""Speech in other languages with word times, from espeak-ng's own events, where its library is installed.

Debian's package ``libespeak-ng1`` (GPL-3.0-or-later), for the benchmark only. A word begins with its first sound; of a
stop, the synthesiser's event marks the burst, and its closure (up to 80 ms of silence from the word's own event on)
belongs to it. A vowel's event comes when its transition from the sound before is over (src/libespeak-ng/synthesize.c):
it begins with the word's own event, but after a nasal, whose own sound lies there. First events lie within 2 ms of
where sound begins. Agreement with events is not agreement with ears.
"""

from __future__ import annotations

import ctypes
from ctypes.util import find_library
from functools import cache

import numpy as np


class _Event(ctypes.Structure):
    _fields_ = [("type", ctypes.c_int), ("id", ctypes.c_uint), ("position", ctypes.c_int), ("length", ctypes.c_int)]
    _fields_ += [("at_ms", ctypes.c_int), ("sample", ctypes.c_int), ("user", ctypes.c_void_p)]
    _fields_ += [("name", ctypes.c_char * 8)]


_WORD, _PHONEME, _END = 1, 7, 0
_STOPS = ("p", "t", "k", "b", "d", "g", "ts", "tS", "dZ", "t2", "k2")
_LONGEST_CLOSURE_S = 0.08
_VOWELS, _NASALS, _PAUSES = "aeiouyAEIOUYW@&3", "mnN", "_:!|' "  # how the synthesiser's names of sounds begin
_SYNCHRONOUS, _PHONEME_EVENTS, _UTF8 = 2, 1, 1


@cache
def _library() -> tuple[ctypes.CDLL, int]:
    library = ctypes.CDLL(find_library("espeak-ng"))
    return library, library.espeak_Initialize(_SYNCHRONOUS, 0, None, _PHONEME_EVENTS)


def say(
    text: str, voice: str, words_a_minute: int = 150, pitch: int = 50
) -> tuple[np.ndarray, list[tuple[str, float]]]:
    """Return (16 kHz int16 samples, (word, start in seconds) for each word); ``pitch`` runs from 0 to 99."""
    from timing.sound.decode import resample

    library, rate_hz = _library()
    blocks: list[np.ndarray] = []
    words: list[list] = []
    before = ""  # the last sound or pause
    callback_type = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.POINTER(_Event))

    def collect(wave, count, events):
        nonlocal before
        if wave and count:
            blocks.append(np.ctypeslib.as_array(ctypes.cast(wave, ctypes.POINTER(ctypes.c_short)), (count,)).copy())
        for index in range(10000):
            event = events[index]
            if event.type == _END:
                break
            if event.type == _WORD:
                words.append([text[event.position - 1 : event.position - 1 + event.length], None, event.at_ms / 1000])
            elif event.type == _PHONEME:
                name = event.name.decode(errors="replace")
                if words and words[-1][1] is None and name.strip(_PAUSES):
                    words[-1][1] = _begins(name, event.at_ms / 1000, words[-1][2], before)
                before = name
        return 0

    callback = callback_type(collect)
    library.espeak_SetSynthCallback(callback)
    if library.espeak_SetVoiceByName(voice.encode()):
        raise ValueError(f"no voice {voice}")  # or it would go on in English
    for parameter, value in ((1, words_a_minute), (3, pitch)):
        library.espeak_SetParameter(parameter, value, 0)
    content = text.encode()
    library.espeak_Synth(content, len(content) + 1, 0, 1, 0, _UTF8, None, None)
    library.espeak_Synchronize()
    samples = np.concatenate(blocks)
    return resample(samples, rate_hz, 16000), [(w, first if first is not None else at) for w, first, at in words if w]


def _begins(name: str, sound_s: float, word_s: float, before: str) -> float:
    """Return where a word begins: ``name`` and ``sound_s`` of its first sound, its own event, the sound before."""
    is_closed = name in _STOPS and sound_s - word_s <= _LONGEST_CLOSURE_S
    is_running = name[0] in _VOWELS and before[:1] not in ("", *_NASALS, *_PAUSES)
    return word_s if is_closed or is_running else sound_s
