"""How elements that we add to an XML file are told from others: readers pass over them, markers cut them."""

__all__ = ["OWN_ID"]

OWN_ID = "slurwright-"
"""How the ``id`` (in MEI the ``xml:id``) of every element that we add begins."""
