"""Speech with known times, made on the spot by the flite synthesiser where its libraries are installed.

Debian's package ``flite`` (version 2.2, a permissive licence of Carnegie Mellon University); used by tests and
benchmarks only. The truth is the synthesiser's own segment times.
"""

from __future__ import annotations

import ctypes
from ctypes.util import find_library
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np

VOICES = ("slt", "rms", "awb", "kal16")
_PITCH = b"int_f0_target_mean"
_TO_ARPABET = {"ax": "AH", "axr": "ER", "ix": "IH"}


@dataclass(frozen=True)
class TrueWord:
    """A word as synthesised: seconds, and (phone, start, end) for each phone."""

    text: str
    start: float
    end: float
    phones: tuple[tuple[str, float, float], ...]


class _Relation(ctypes.Structure):
    _fields_ = [("name", ctypes.c_char_p), ("features", ctypes.c_void_p), ("utterance", ctypes.c_void_p)]
    _fields_ += [("head", ctypes.c_void_p), ("tail", ctypes.c_void_p)]


class _Wave(ctypes.Structure):
    _fields_ = [
        ("type", ctypes.c_char_p),
        ("rate", ctypes.c_int),
        ("count", ctypes.c_int),
        ("channels", ctypes.c_int),
    ]
    _fields_ += [("samples", ctypes.POINTER(ctypes.c_short))]


def is_installed() -> bool:
    return all(find_library(n) for n in ("flite", "flite_usenglish", "flite_cmulex", "flite_cmu_us_slt"))


@lru_cache(maxsize=1)
def _library() -> ctypes.CDLL:
    library = ctypes.CDLL(find_library("flite"), mode=ctypes.RTLD_GLOBAL)
    for name in ("flite_usenglish", "flite_cmulex"):
        ctypes.CDLL(find_library(name), mode=ctypes.RTLD_GLOBAL)
    pointer, text = ctypes.c_void_p, ctypes.c_char_p
    for name, result, arguments in (
        ("flite_synth_text", pointer, [text, pointer]),
        ("utt_relation", pointer, [pointer, text]),
        ("item_next", pointer, [pointer]),
        ("item_as", pointer, [pointer, text]),
        ("item_parent", pointer, [pointer]),
        ("item_feat_float", ctypes.c_float, [pointer, text]),
        ("item_feat_string", text, [pointer, text]),
        ("utt_wave", pointer, [pointer]),
        ("delete_utterance", None, [pointer]),
        ("flite_feat_set_float", None, [pointer, text, ctypes.c_float]),
        ("feat_remove", ctypes.c_int, [pointer, text]),
    ):
        function = getattr(library, name)
        function.restype, function.argtypes = result, arguments
    library.flite_init()
    return library


@cache
def _voice(name: str) -> int:
    _library()
    library = ctypes.CDLL(find_library(f"flite_cmu_us_{name}"))
    register = getattr(library, f"register_cmu_us_{name}")
    register.restype, register.argtypes = ctypes.c_void_p, [ctypes.c_char_p]
    return int(register(None))


@lru_cache(maxsize=4096)
def say(
    text: str, voice: str = "slt", seed: int = 1, hertz: float | None = None
) -> tuple[np.ndarray, tuple[TrueWord, ...]]:
    """Return (16 kHz int16 samples, the words said); the same whatever was said before.

    ``hertz`` is the mean pitch, for slt (of itself about 168) and awb (about 127).
    """
    library = _library()
    features = ctypes.cast(_voice(voice), ctypes.POINTER(ctypes.c_void_p))[1]  # after the name in a cst_voice
    if hertz is not None:
        library.flite_feat_set_float(features, _PITCH, hertz)
    # The synthesiser's breath noise is the C library's rand(): without this each reading would be another one.
    ctypes.CDLL(None).srand(seed)
    utterance = library.flite_synth_text(text.encode("ascii"), _voice(voice))
    relation = ctypes.cast(library.utt_relation(utterance, b"Segment"), ctypes.POINTER(_Relation))
    item, begin, words, owner = relation.contents.head, 0.0, [], None
    while item:
        syllable = library.item_parent(library.item_as(item, b"SylStructure"))
        word = library.item_parent(syllable) if syllable else None
        name, end = library.item_feat_string(item, b"name").decode(), library.item_feat_float(item, b"end")
        if word:
            if word != owner:
                words.append((library.item_feat_string(word, b"name").decode(), []))
            words[-1][1].append((_TO_ARPABET.get(name, name.upper()), begin, end))
        owner, begin, item = word, end, library.item_next(item)
    wave = ctypes.cast(library.utt_wave(utterance), ctypes.POINTER(_Wave)).contents
    samples = np.ctypeslib.as_array(wave.samples, (wave.count,)).copy()
    rate = wave.rate
    library.delete_utterance(utterance)
    if hertz is not None:
        library.feat_remove(features, _PITCH)
    if rate != 16000:
        raise ValueError(f"voice {voice} speaks at {rate} Hz")
    return samples, tuple(TrueWord(w, p[0][1], p[-1][2], tuple(p)) for w, p in words)
