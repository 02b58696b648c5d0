"""Opening sound and video files: the one place that knows the versions of the decoding library."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from timing.plain.inputs import require_regular

# FFmpeg's names of the containers that hold their sound themselves (its documentation, "Demuxers").
FORMATS = (
    "wav,w64,aiff,au,caf,flac,mp3,aac,ac3,eac3,ogg,matroska,webm,mov,mp4,m4a,3gp,3g2,mj2,avi,asf,amr,gif,mpeg,mpegts,flv,"
    "wv,ape,tta,loas,adts,dts,mpegvideo"
)


def open_media(path: Path) -> Any:
    """Return the file, opened by PyAV; odd letters in its tags are no reason to refuse it.

    Raises what PyAV raises (av.FFmpegError, OSError, ValueError): each caller says in its own words what to do.
    """
    import av

    require_regular(path)
    # An absolute path is a file to the library, whatever its name; lists of other files are no formats here.
    name, options = str(path.absolute()), {"format_whitelist": FORMATS, "protocol_whitelist": "file"}
    try:
        return av.open(name, options=options, metadata_errors="replace")
    except TypeError:  # from av 19 on this is the only way and has no name
        return av.open(name, options=options)
