"""The MusicXML 4.0 schema, its imports answered from the folder beside it."""

from functools import cache
from pathlib import Path
from typing import Any, cast

from lxml import etree

FOLDER = Path(__file__).parents[1] / "references" / "musicxml-schema"


class _Local(etree.Resolver):
    def resolve(self, system_url: str, public_id: str, *context: Any) -> Any:
        return cast(Any, self).resolve_filename(str(FOLDER / system_url.rsplit("/", 1)[-1]), *context)


@cache
def _schema() -> etree.XMLSchema:
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local())
    return etree.XMLSchema(etree.parse(str(FOLDER / "musicxml.xsd"), parser))


def schema_errors(data: bytes) -> list[str]:
    """What the schema has against a document; nothing if it is valid MusicXML 4.0."""
    tree = etree.fromstring(data, etree.XMLParser(load_dtd=False, no_network=True, resolve_entities=False))
    schema = _schema()
    schema.validate(tree)
    return [f"line {error.line}: {error.message}" for error in cast(Any, schema.error_log)]
