"""What cannot be true of attempts, trials and sheets, said before anything of them is kept."""

from collections.abc import Iterator

from slurwright.errors import Fault
from slurwright.evidence.kept import EarAttempt, SheetAbout, TrialAbout
from slurwright.store.names import writable
from slurwright.store.take_faults import leaf_faults, way_faults

__all__ = ["LARGEST_DOCUMENT", "MOST_ITEMS", "attempt_faults", "document_faults"]

LARGEST_DOCUMENT = 16 * 1024 * 1024
"""Most letters of the document of a trial or a sheet; ours [characters]."""
MOST_ITEMS = 100_000
"""Most items of a sheet, and most blocks of a trial; ours [1]."""


def attempt_faults(about: EarAttempt, where: str) -> Iterator[Fault]:
    """Say what cannot be true of an attempt.

    Args:
        about: as it is logged.
        where: how to call it in messages.
    """
    yield from leaf_faults(about, where)
    if not about.model.strip():
        yield Fault("an attempt needs a model", where=where)
    if about.part is not None and not about.part.fingerprint.strip():
        yield Fault("a part needs a fingerprint", where=where)
    if about.arm and about.trial_id is None:
        yield Fault("a choice of no trial", got=about.arm, where=where)
    tried = about.tried
    for way in tried.ways:
        yield from way_faults(way, where)
    if abs(tried.dynamic) > 10:
        yield Fault("a dynamic out of reach", got=f"{tried.dynamic:g} steps from mf", allowed="±10", where=where)
    if tried.tempo_qpm <= 0:
        yield Fault("no tempo", got=f"{tried.tempo_qpm:g} quarters per minute", allowed="above 0", where=where)
    for name, length in (("time between the notes", tried.time_s), ("length of the second note", tried.hold_s)):
        if length < 0:
            yield Fault(f"no {name}", got=f"{length:g} s", allowed="0 or more", where=where)


def document_faults(about: TrialAbout | SheetAbout, where: str) -> Iterator[Fault]:
    """Say what cannot be true of a trial or a sheet; what stands in its document is not looked at.

    Args:
        about: as it is made.
        where: how to call it in messages.
    """
    if not about.model.strip() or not writable(about.model) or len(about.model) > LARGEST_DOCUMENT:
        yield Fault("it needs a model", got=ascii(about.model[:40]), where=where)
    if about.schema < 1:
        yield Fault("no version of a document", got=str(about.schema), allowed="1 or more", where=where)
    if len(about.document_json) > LARGEST_DOCUMENT or not writable(about.document_json):
        yield Fault("its document cannot be kept", where=where)
    if not about.document_json.strip():
        yield Fault("its document says nothing", where=where)
