"""Whose words a sound holds: one search for the words of all spoken clips at once."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from timing.delivery.words import clip_utterance
from timing.model import Clip, LineKind, Plan
from timing.model.words import Pronounce

if TYPE_CHECKING:
    from timing.hearing.followed_words import Token
    from timing.hearing.line_places import Words
    from timing.hearing.recogniser import Recogniser
    from timing.sound.decode import Sound


class ClipSearch:
    """Knows the words of all spoken clips of a plan; the recogniser is made when first needed."""

    def __init__(self, plan: Plan, pronounce: Pronounce):
        self._plan, self._pronounce = plan, pronounce

    @cached_property
    def _clips(self) -> list[tuple[Clip, tuple[Token, ...]]]:
        from timing.hearing.followed_words import HUM, tokens_of

        found = []
        for clip in self._plan.clips:
            if clip.kind is not LineKind.SPOKEN:
                continue
            tokens = tokens_of(clip_utterance(self._plan, clip), self._pronounce)
            if tokens and sum(t.pronunciations == HUM for t in tokens) * 2 <= len(tokens):
                found.append((clip, tokens))
        return found

    @cached_property
    def _vocabulary(self) -> tuple[Recogniser, list[tuple[int, Words]]]:
        from timing.hearing.line_places import Words
        from timing.hearing.recogniser import TAKE, Recogniser

        words, at = [], 0
        for number, (_, tokens) in enumerate(self._clips):
            words.append((number, Words(at, len(tokens))))
            at += len(tokens)
        return Recogniser([t.pronunciations for _, tokens in self._clips for t in tokens], TAKE), words

    def find(self, sound: Sound) -> list[Clip]:
        """Return the clips of whose words enough was heard, the likeliest first; empty where there is none."""
        from timing.hearing.line_places import locate
        from timing.sound.clean import for_following
        from timing.sound.levels import measure, sound_regions

        if not self._clips:
            return []
        levels = measure(sound)
        recogniser, words = self._vocabulary
        places = locate(recogniser, for_following(sound, levels), words, sound_regions(sound, levels))
        share: dict[str, tuple[float, int]] = {}
        for place in places:
            clip, tokens = self._clips[place.line]
            heard = len(place.words) / len(tokens)
            share[clip.id] = max(share.get(clip.id, (0.0, 0)), (heard, len(place.words)))
        clips = {clip.id: clip for clip, _ in self._clips}
        return [clips[clip_id] for clip_id in sorted(share, key=lambda i: share[i], reverse=True)]
