"""Any sound or video file in, samples out, whole or a block at a time: the one decoder.

PyAV (FFmpeg's libraries inside its wheel) decodes; no program has to be installed. Files are read in blocks and
brought to one rate and layout on the way, so memory holds the result only (32 kB a second at 16 kHz), and of a song
that is listened to as it streams by (:func:`blocks`) a few seconds.

Conventions: moment 0 is the beginning of the file as a player shows it. The decoder takes away what encoders put
before it (priming samples, edit lists); a sound track that begins after the picture is padded with silence.
Lengths are counted from decoded samples: a raw AAC file's header can be 4 % wrong. What is damaged is left out and
counted; after a fault that cannot be passed the sound ends.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any

from timing.model.clock import Seconds
from timing.plain.errors import RecordingError
from timing.plain.inputs import require_regular
from timing.plain.limits import LONGEST_RECORDING_S
from timing.sound.media import open_media

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SPEECH_RATE_HZ = 16_000
SONG_RATE_HZ = 22_050  # enough for beats
# What folders of recordings and songs may hold; the decoder itself goes by content, not by name.
SOUND_SUFFIXES = frozenset(
    ".wav .wave .flac .mp3 .m4a .aac .ogg .oga .opus .mp4 .m4v .mov .aif .aiff .caf .amr .3gp .webm .mka .mkv "
    ".wma".split()
)
_FULL_SCALE = {"u8": 128, "s16": 1 << 15, "s32": 1 << 31, "s64": 1 << 63, "flt": 1, "dbl": 1}
LOWEST_HZ, HIGHEST_HZ = 1_000, 768_000  # beyond these a header is damaged, and resampling would take for ever
_CLIP_LEVEL = 0.999  # of full scale
_LATEST_START_S = 600  # a first sound later than this is a broken time stamp, not a late track
_MOST_DAMAGED = 1000  # blocks; a file with more is noise from there on
_BLOCK_SAMPLES = 1 << 16


@dataclass(frozen=True, eq=False)
class Sound:
    """Decoded sound: ``samples`` is int16, one channel.

    ``channels`` and ``source_rate_hz`` tell what the file held; ``peak`` is its highest absolute sample (1 = full
    scale) and ``clipped_share`` the part of all samples (0..1) that stand in a row at full scale, both before mixing
    down; ``damaged_blocks`` counts the blocks that could not be decoded.
    """

    samples: NDArray[np.int16]
    rate_hz: int = SPEECH_RATE_HZ
    path: str = ""
    channels: int = 1
    source_rate_hz: int = SPEECH_RATE_HZ
    peak: float = 0.0
    clipped_share: float = 0.0
    damaged_blocks: int = 0
    codec: str = field(default="", compare=False)

    @property
    def seconds(self) -> Seconds:
        """Length from the decoded samples."""
        return Fraction(len(self.samples), self.rate_hz)

    def cut(self, start: Seconds | float, end: Seconds | float) -> NDArray[np.int16]:
        """Return the samples from ``start`` to ``end`` (seconds, bounded by the sound)."""
        return self.samples[max(0, int(start * self.rate_hz)) : max(0, int(end * self.rate_hz))]


class Pieces:
    """Parts of a sound, cut like the whole of it; what lies in none of them cannot be cut."""

    def __init__(self, parts: Sequence[tuple[int, NDArray[np.int16]]]):
        self._parts = sorted(parts, key=lambda part: part[0])

    def __getitem__(self, wanted: slice) -> NDArray[np.int16]:
        """Return the samples of a slice with a start and a stop, as far as the sound goes; raises IndexError."""
        import numpy as np

        begun = [part for part in self._parts if part[0] <= wanted.start]
        if not self._parts:
            return np.zeros(0, np.int16)
        if begun:
            first, samples = begun[-1]
            is_last = len(begun) == len(self._parts)  # only there may the sound itself end
            if is_last or wanted.stop <= max(wanted.start, first + len(samples)):
                return samples[wanted.start - first : max(wanted.start, wanted.stop) - first]
        raise IndexError(f"samples {wanted.start} to {wanted.stop} were not kept")


def read_audio(path: str | os.PathLike[str], rate_hz: int = SPEECH_RATE_HZ) -> Sound:
    """Return the sound in a file as mono int16 at ``rate_hz``.

    Raises RecordingError (one sentence) for a file that is missing, empty, a folder, broken or without sound.
    """
    return _read(Path(path), rate_hz, "mono")


def read_stereo(path: str | os.PathLike[str], rate_hz: int = 44_100) -> tuple[NDArray[np.int16], Sound]:
    """Return (left and right as an array of shape (samples, 2), facts about the file); raises RecordingError.

    A file with one channel gives two equal columns; ``Sound.channels`` tells.
    """
    sound = _read(Path(path), rate_hz, "stereo")
    return sound.samples.reshape(-1, 2), sound


def blocks(path: str | os.PathLike[str], rate_hz: int = SONG_RATE_HZ) -> Iterator[NDArray[np.float32]]:
    """Yield the sound in a file as mono float32 (-1..1) at ``rate_hz``, some seconds at a time.

    Raises RecordingError as :func:`read_audio` does.
    """
    import numpy as np

    waiting: list[NDArray[np.float32]] = []
    count = 0
    for samples in _stream(Path(path), rate_hz, "mono", "flt", _Facts()):
        waiting.append(samples)
        count += len(samples)
        if count >= _BLOCK_SAMPLES:
            yield np.concatenate(waiting)
            waiting, count = [], 0
    if waiting:
        yield np.concatenate(waiting)


def pieces(path: str | os.PathLike[str], rate_hz: int, stretches: Iterable[tuple[Seconds, Seconds]]) -> Pieces:
    """Return parts of the sound in a file as mono int16 at ``rate_hz``; of the rest nothing is kept.

    ``stretches`` are (start, end) in seconds, in any order. Raises RecordingError as :func:`read_audio` does.
    """
    import numpy as np

    wanted = _joined((max(0, int(a * rate_hz) - 1), max(0, int(b * rate_hz) + 2)) for a, b in stretches)
    kept: dict[int, list[NDArray[np.int16]]] = {first: [] for first, _ in wanted}
    at = next_wanted = 0
    for samples in _stream(Path(path), rate_hz, "mono", "s16", _Facts()):
        for first, last in wanted[next_wanted:]:
            if first >= at + len(samples):
                break
            kept[first].append(samples[max(0, first - at) : last - at].astype(np.int16, copy=True))
        at += len(samples)
        while next_wanted < len(wanted) and wanted[next_wanted][1] <= at:
            next_wanted += 1
    return Pieces([(first, np.concatenate(parts)) for first, parts in kept.items() if parts])


def _joined(stretches: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return half-open ranges in order, those that touch made one."""
    found: list[tuple[int, int]] = []
    for first, last in sorted(stretches):
        if found and first <= found[-1][1]:
            found[-1] = (found[-1][0], max(last, found[-1][1]))
        else:
            found.append((first, last))
    return found


def resample(samples: NDArray[np.int16], rate_hz: int, to_hz: int) -> NDArray[np.int16]:
    """Return mono samples at another rate, without lag."""
    import av
    import numpy as np

    resampler = av.AudioResampler(format="s16", layout="mono", rate=to_hz)
    blocks = []
    for start in range(0, len(samples), rate_hz):
        frame = av.AudioFrame.from_ndarray(samples[None, start : start + rate_hz], format="s16", layout="mono")
        frame.sample_rate = rate_hz
        blocks += [block.to_ndarray().reshape(-1) for block in resampler.resample(frame)]
    blocks += [block.to_ndarray().reshape(-1) for block in resampler.resample(None)]
    return np.concatenate(blocks) if blocks else samples[:0]


def _check(path: Path) -> None:
    if path.is_dir():
        raise RecordingError("is a folder; name a sound or video file in it", path)
    if not path.exists():
        raise RecordingError("there is no such file; check the name", path)
    try:
        require_regular(path)
        with path.open("rb") as file:
            if not file.read(1):
                raise RecordingError("is empty (0 bytes); copy the recording again", path)
    except OSError as error:
        raise RecordingError(f"cannot be opened ({error.strerror}); check its permissions", path) from None


def _read(path: Path, rate_hz: int, layout: str) -> Sound:
    import numpy as np

    facts = _Facts()
    held = bytearray()  # grows in place: an hour of speech is 115 MB, and twice that while it is joined
    for part in _stream(path, rate_hz, layout, "s16", facts):
        held += part.astype(np.int16, copy=False).data
    samples = np.frombuffer(held, np.int16)
    return Sound(
        samples, rate_hz, str(path), facts.channels, facts.rate_hz, facts.peak,
        facts.clipped / max(1, facts.samples * facts.channels), facts.damaged, facts.codec,
    )  # fmt: skip


def _stream(path: Path, rate_hz: int, layout: str, sample_format: str, facts: _Facts) -> Iterator[NDArray[Any]]:
    """Yield the samples of a file at ``rate_hz``, channels in a row; ``facts`` counts what streams by."""
    import av
    import numpy as np

    _check(path)
    try:
        with open_media(path) as container:
            stream = _sound_track(container, path)
            resampler = av.AudioResampler(format=sample_format, layout=layout, rate=rate_hz)
            for frame in _frames(container, stream, facts):
                if not facts.samples and (late := round(_late_start(container, frame) * rate_hz)):
                    yield np.zeros(
                        late * (2 if layout == "stereo" else 1), np.int16 if sample_format == "s16" else "f4"
                    )
                facts.see(frame)
                frame.pts = None  # let the resampler count samples; time stamps of phones jitter
                if facts.samples > LONGEST_RECORDING_S * max(1, facts.rate_hz):
                    raise RecordingError(
                        f"is longer than {LONGEST_RECORDING_S // 3600} hours; cut it into parts that are shorter", path
                    )
                for part in resampler.resample(frame):
                    yield part.to_ndarray().reshape(-1)
            if facts.samples:
                for part in resampler.resample(None):
                    yield part.to_ndarray().reshape(-1)
            facts.channels = facts.channels or stream.codec_context.channels
            facts.codec = str(stream.codec_context.name)
    except (av.FFmpegError, ValueError, EOFError, OSError) as error:
        what = getattr(error, "strerror", None) or error
        raise RecordingError(
            f"cannot be read as sound ({what}); it may be damaged or not a recording: play it, then save it as WAV",
            path,
        ) from None
    if not facts.samples:
        raise RecordingError("holds no sound that can be decoded; it may be cut off: copy the recording again", path)


def _sound_track(container: Any, path: Path) -> Any:
    """Return the track to listen to, checked; raises RecordingError."""
    if not container.streams.audio:
        raise RecordingError("has no sound in it; export it again with its sound track", path)
    stream = container.streams.best("audio") or container.streams.audio[0]
    stream.thread_type = "NONE"  # one thread decodes far faster than speech lasts, and always the same way
    if stream.codec_context is None:
        raise RecordingError("holds sound in a format that cannot be decoded; save it as WAV or M4A", path)
    given_hz = stream.codec_context.sample_rate
    if given_hz and not LOWEST_HZ <= given_hz <= HIGHEST_HZ:
        raise RecordingError(f"has a broken header ({given_hz} samples a second); save it again", path)
    return stream


def _frames(container: Any, stream: Any, facts: _Facts) -> Iterator[Any]:
    """Yield decoded blocks; a damaged one is counted and left out."""
    import av

    packets = container.demux(stream)
    while facts.damaged <= _MOST_DAMAGED:
        try:
            packet = next(packets, None)
            if packet is None:
                return
            frames = packet.decode()
        except av.InvalidDataError:
            facts.damaged += 1
            continue
        except av.error.EOFError:
            facts.damaged += 1
            return
        except (av.FFmpegError, ValueError):
            facts.damaged += 1
            if facts.samples:
                return
            raise
        yield from frames


def _late_start(container: Any, frame: Any) -> float:
    """Seconds from the beginning of the file to its first sound block (0 where time stamps say nothing)."""
    if frame.time is None or container.start_time is None:
        return 0.0
    late = frame.time - container.start_time / 1_000_000
    return late if 0.001 < late < _LATEST_START_S else 0.0


@dataclass
class _Facts:
    """What is counted while a file streams by."""

    channels: int = 0
    rate_hz: int = 0
    samples: int = 0
    clipped: int = 0
    peak: float = 0.0
    damaged: int = 0
    codec: str = ""

    def see(self, frame: Any) -> None:
        import numpy as np

        self.channels, self.rate_hz = len(frame.layout.channels), frame.sample_rate
        self.samples += frame.samples
        values = frame.to_ndarray()
        if frame.format.is_packed:
            values = values.reshape(-1, self.channels).T
        name = frame.format.name.removesuffix("p")
        scale = _FULL_SCALE.get(name, 1)
        high = values.astype(np.float32)
        if name == "u8":
            high -= 128
        high = np.abs(high) / scale
        self.peak = max(self.peak, float(high.max(initial=0.0)))
        at_limit = high >= _CLIP_LEVEL
        in_row = at_limit[:, 1:] & at_limit[:, :-1]
        self.clipped += int(in_row.sum())
