"""Small signs on an MEI note in our trade words: articulations, fermatas, tremolo strokes, syllables."""

from slurwright.formats.mei.tree import children, local, text_of
from slurwright.formats.xmlsafe import Element

__all__ = ["articulations_of", "lyrics_of", "tremolo_of"]

_ARTICULATIONS = {
    "acc": ("accent",),
    "stacc": ("staccato",),
    "ten": ("tenuto",),
    "stacciss": ("staccatissimo",),
    "spicc": ("staccatissimo",),
    "marc": ("marcato",),
    "marc-stacc": ("marcato", "staccato"),
    "ten-stacc": ("tenuto", "staccato"),
    "acc-stacc": ("accent", "staccato"),
    "ten-acc": ("tenuto", "accent"),
}


def articulations_of(*elements: Element | None) -> frozenset[str]:
    """Name the articulations of a note and of the chord around it; fermatas too."""
    found: set[str] = set()
    for element in elements:
        if element is None:
            continue
        words = element.get("artic", "").split()
        for child in children(element):
            if local(child) == "artic":
                words += child.get("artic", "").split()
        for word in words:
            found.update(_ARTICULATIONS.get(word, ()))
        if element.get("fermata"):
            found.add("fermata")
    return frozenset(found)


def lyrics_of(*elements: Element | None) -> tuple[str, ...]:
    """Give the syllables of each verse under a note."""
    found: list[str] = []
    for element in elements:
        if element is None:
            continue
        if element.get("syl"):
            found.append(element.get("syl", ""))
        for child in children(element):
            if local(child) == "verse":
                text = " ".join(_syllable(syllable) for syllable in children(child) if local(syllable) == "syl")
                if text:
                    found.append(text)
            elif local(child) == "syl" and text_of(child):
                found.append(_syllable(child))
    return tuple(found)


def _syllable(element: Element) -> str:
    """Give a syllable, with a hyphen where its word goes on."""
    goes_on = element.get("con") == "d" or element.get("wordpos") in ("i", "m")
    return text_of(element) + ("-" if goes_on and text_of(element) else "")


def tremolo_of(strokes: int) -> frozenset[str]:
    """Name a tremolo by its strokes.

    Args:
        strokes: beams through the stem; 0 for none [1].

    """
    return frozenset({f"tremolo-{strokes}"}) if strokes else frozenset()
