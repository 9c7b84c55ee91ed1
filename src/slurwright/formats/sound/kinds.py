"""What kind of sound file is this, and what is it if it is none: by its first bytes, never by its name."""

from dataclasses import dataclass
from enum import Enum

__all__ = ["READ_SOUNDS", "SoundKind", "by_name", "kind_of", "other_kind", "seems", "tag_size"]

READ_SOUNDS = "WAV, FLAC, OGG, MP3, AIFF, AU, CAF; with the extra m4a also M4A/AAC, MP4, WebM and 3GP"
"""What can be read, in words."""


class SoundKind(Enum):
    """A kind of sound file, by the word players know it by."""

    WAV = "WAV"
    FLAC = "FLAC"
    OGG = "OGG"
    MP3 = "MP3"
    AIFF = "AIFF"
    AU = "AU"
    CAF = "CAF"
    M4A = "M4A"
    AAC = "AAC"
    THREE_GP = "3GP"
    WEBM = "WebM"
    AMR = "AMR"

    @property
    def needs_extra(self) -> bool:
        """Whether only the optional library reads it."""
        return self in {SoundKind.M4A, SoundKind.AAC, SoundKind.THREE_GP, SoundKind.WEBM, SoundKind.AMR}


@dataclass(frozen=True, slots=True)
class _Mark:
    at: int
    sign: bytes
    kind: SoundKind


_MARKS = (
    _Mark(8, b"WAVE", SoundKind.WAV),
    _Mark(24, b"wave\xf3\xac\xd3\x11\x8c\xd1\x00\xc0O\x8e\xdb\x8a", SoundKind.WAV),  # W64, for files beyond 4 GB
    _Mark(0, b"fLaC", SoundKind.FLAC),
    _Mark(0, b"OggS", SoundKind.OGG),
    _Mark(8, b"AIFF", SoundKind.AIFF),
    _Mark(8, b"AIFC", SoundKind.AIFF),
    _Mark(0, b".snd", SoundKind.AU),
    _Mark(0, b"caff", SoundKind.CAF),
    _Mark(4, b"ftyp3g", SoundKind.THREE_GP),
    _Mark(4, b"ftyp", SoundKind.M4A),
    _Mark(4, b"moov", SoundKind.M4A),
    _Mark(4, b"mdat", SoundKind.M4A),
    _Mark(0, b"\x1a\x45\xdf\xa3", SoundKind.WEBM),
    _Mark(0, b"#!AMR", SoundKind.AMR),
)
_OTHERS = (
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"MThd", "a MIDI file: notes to be played, not a recording"),
    (b"PK\x03\x04", "a compressed folder (ZIP) or a document"),
    (b"\x1f\x8b", "a compressed file (gzip)"),
    (b"7z\xbc\xaf", "a compressed folder (7z)"),
    (b"Rar!", "a compressed folder (RAR)"),
    (b"\x7fELF", "a program"),
    (b"MZ", "a program"),
    (b"SQLite format 3", "a database"),
    (b"RIFF", "a RIFF file without sound that can be read"),
    (b"\x30\x26\xb2\x75", "a Windows Media file"),
    (b"RF64", "an RF64 file without sound that can be read"),
)
_ENDINGS = {
    "wav": SoundKind.WAV,
    "wave": SoundKind.WAV,
    "bwf": SoundKind.WAV,
    "w64": SoundKind.WAV,
    "rf64": SoundKind.WAV,
    "flac": SoundKind.FLAC,
    "ogg": SoundKind.OGG,
    "oga": SoundKind.OGG,
    "opus": SoundKind.OGG,
    "mp3": SoundKind.MP3,
    "aif": SoundKind.AIFF,
    "aiff": SoundKind.AIFF,
    "aifc": SoundKind.AIFF,
    "au": SoundKind.AU,
    "snd": SoundKind.AU,
    "caf": SoundKind.CAF,
    "m4a": SoundKind.M4A,
    "mp4": SoundKind.M4A,
    "m4b": SoundKind.M4A,
    "mov": SoundKind.M4A,
    "aac": SoundKind.AAC,
    "3gp": SoundKind.THREE_GP,
    "3gpp": SoundKind.THREE_GP,
    "webm": SoundKind.WEBM,
    "mka": SoundKind.WEBM,
    "mkv": SoundKind.WEBM,
    "amr": SoundKind.AMR,
}
_ID3_HEADER = 10


def by_name(name: str) -> SoundKind | None:
    """Say what a file's name promises; None where its ending is no sound's."""
    return _ENDINGS.get(name.lower().rpartition(".")[2])


def kind_of(head: bytes) -> SoundKind | None:
    """Say what a file's first bytes are the start of; None where no sound file starts so.

    Args:
        head: its first bytes, a few thousand.
    """
    for mark in _MARKS:
        if head[mark.at : mark.at + len(mark.sign)] == mark.sign:
            return mark.kind
    if head.startswith(b"ID3"):
        after = head[_ID3_HEADER + tag_size(head) :]
        return kind_of(after) or SoundKind.MP3
    if len(head) >= 2 and head[0] == 0xFF and head[1] & 0xE0 == 0xE0:
        return _by_frame(head)
    return None


def seems(head: bytes) -> str:
    """Say in words what a file that is no sound seems to be.

    Args:
        head: its first bytes.
    """
    if known := other_kind(head):
        return known
    return f"something that starts with the bytes {head[:8].hex(' ')}" if head.strip(b"\0") else "only zero bytes"


def other_kind(head: bytes) -> str:
    """Say in words what kind of file other than sound this is; empty where that cannot be told.

    Args:
        head: its first bytes.
    """
    for sign, words in _OTHERS:
        if head.startswith(sign):
            return words
    start = head[:512].lstrip()
    if start[:1] == b"<":
        return "a web page" if b"<html" in head[:1024].lower() else "XML text"
    return "text" if start and all(byte >= 0x20 or byte in b"\t\r\n" for byte in start) else ""


def _by_frame(head: bytes) -> SoundKind | None:
    """Tell MPEG frames apart: layer 0 is AAC's own framing, layer 3 is MP3; nothing else is read."""
    layer, second = head[1] >> 1 & 3, head[1]
    if layer == 0:
        return SoundKind.AAC if second & 0xF6 == 0xF0 else None
    bitrate, rate = (head[2] >> 4, head[2] >> 2 & 3) if len(head) > 2 else (15, 3)
    return SoundKind.MP3 if bitrate != 15 and rate != 3 and second >> 3 & 3 != 1 else None


def tag_size(head: bytes) -> int:
    """Say how many bytes an ID3 tag has after its first ten.

    Args:
        head: the start of the file.
    """
    size = 0
    for byte in head[6:_ID3_HEADER]:
        size = size << 7 | byte & 0x7F
    return size
