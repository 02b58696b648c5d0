"""Speech in other languages with word times, from espeak-ng's own events, where its library is installed.

Debian's package ``libespeak-ng1`` (GPL-3.0-or-later), for the benchmark only. A word begins with its first sound; of a
stop, the synthesiser's event marks the burst, and its closure (up to 80 ms of silence from the word's own event on)
belongs to it. First events lie within 2 ms of where sound begins. Agreement with events is not agreement with ears.
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
_SYNCHRONOUS, _PHONEME_EVENTS, _UTF8 = 2, 1, 1


@cache
def _library() -> tuple[ctypes.CDLL, int]:
    library = ctypes.CDLL(find_library("espeak-ng"))
    return library, library.espeak_Initialize(_SYNCHRONOUS, 0, None, _PHONEME_EVENTS)


def say(text: str, voice: str, words_a_minute: int = 150) -> tuple[np.ndarray, list[tuple[str, float]]]:
    """Return (16 kHz int16 samples, (word, start in seconds) for each word)."""
    from timing.recording.decode import resample

    library, rate_hz = _library()
    blocks: list[np.ndarray] = []
    words: list[list] = []
    callback_type = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.POINTER(_Event))

    def collect(wave, count, events):
        if wave and count:
            blocks.append(np.ctypeslib.as_array(ctypes.cast(wave, ctypes.POINTER(ctypes.c_short)), (count,)).copy())
        for index in range(10000):
            event = events[index]
            if event.type == _END:
                break
            if event.type == _WORD:
                words.append([text[event.position - 1 : event.position - 1 + event.length], None, event.at_ms / 1000])
            elif event.type == _PHONEME and words and words[-1][1] is None and event.name.strip(b"_:!|' "):
                sound = event.at_ms / 1000  # the first of the word, after any pause
                is_closed = event.name.decode() in _STOPS and sound - words[-1][2] <= _LONGEST_CLOSURE_S
                words[-1][1] = words[-1][2] if is_closed else sound
        return 0

    callback = callback_type(collect)
    library.espeak_SetSynthCallback(callback)
    if library.espeak_SetVoiceByName(voice.encode()):
        raise ValueError(f"no voice {voice}")  # or it would go on in English
    library.espeak_SetParameter(1, words_a_minute, 0)
    content = text.encode()
    library.espeak_Synth(content, len(content) + 1, 0, 1, 0, _UTF8, None, None)
    library.espeak_Synchronize()
    samples = np.concatenate(blocks)
    return resample(samples, rate_hz, 16000), [(w, first if first is not None else at) for w, first, at in words if w]
