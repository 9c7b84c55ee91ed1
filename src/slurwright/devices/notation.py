"""Notations that libraries translate, each in a child process with limits: Humdrum to MEI, ABC to MusicXML."""

from collections.abc import Sequence

from slurwright.devices.child import ChildLimits, Errand, child_answer
from slurwright.errors import NotationError

__all__ = ["abc_to_musicxml", "humdrum_to_mei"]

_USUAL = ChildLimits()


def humdrum_to_mei(data: bytes, where: str, *, limits: ChildLimits = _USUAL) -> str:
    """Say in MEI what Humdrum text says.

    Args:
        data: the Humdrum text.
        where: its name for messages.
        limits: what the conversion may take.

    Raises:
        NotationError: it cannot be read, or reading it took more than it may.

    """
    errand = Errand(
        "humdrum_child",
        doing="reading the Humdrum file",
        gave_up="the Humdrum file cannot be read",
        error=NotationError,
        allowed="valid **kern",
        where=where,
    )
    mei: str = child_answer(errand, {"text": _decoded(data)}, limits=limits)["mei"]
    return mei


def abc_to_musicxml(tunes: Sequence[str], where: str, *, limits: ChildLimits = _USUAL) -> tuple[tuple[str, str], ...]:
    """Say in MusicXML what tunes of ABC say.

    Args:
        tunes: each tune's text, cleaned of what the converter must not see.
        where: the name of the book for messages.
        limits: what the conversion of them all may take.

    Returns:
        For each tune the MusicXML, empty where the converter gives it up, and what the converter remarked on it.

    Raises:
        NotationError: reading the tunes took more than it may.

    """
    errand = Errand(
        "abc_child",
        doing="reading the ABC text",
        gave_up="the ABC text cannot be read",
        error=NotationError,
        allowed="a tune in ABC 2.1 notation",
        where=where,
    )
    answer = child_answer(errand, {"tunes": list(tunes)}, limits=limits)
    return tuple((xml, said) for xml, said in answer["tunes"])


def _decoded(data: bytes) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")
