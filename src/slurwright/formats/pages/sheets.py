"""The printed whole as a document for the typesetter: music first, then pictures, choices, signs and cautions.

The document's source never changes; everything that a part or a player says reaches it as data, so that no title
or file can speak to the typesetter.
"""

import json
from collections.abc import Mapping, Sequence
from typing import Any

from slurwright.formats.pages.look import PAPER_SIZES_MM
from slurwright.formats.pages.request import ChoiceRow, PageRequest, RowStyle
from slurwright.formats.pages.row import has_tight_labels
from slurwright.formats.pages.text import printable

__all__ = ["sheet_inputs", "sheet_source"]

_SOURCE = """\
#let said = json(bytes(sys.inputs.said))
#let sheet = (width: said.width * 1mm, height: said.height * 1mm)
#let side = 16mm
#set document(title: said.title, date: none)
#set text(font: ("Liberation Serif", "Libertinus Serif"), size: 10.5pt, lang: "en")
#set par(leading: 0.55em, spacing: 0.8em)
#show regex("[♭♯]"): sign => text(
  font: "New Computer Modern Math", top-edge: "baseline", bottom-edge: "baseline", sign,
)
#show heading.where(level: 1): set text(size: 14pt)
#show heading.where(level: 1): set block(above: 1.4em, below: 0.8em)

#let foot = context {
  set text(size: 9pt)
  if counter(page).get().first() > 1 { said.running }
  h(1fr)
  counter(page).display("1/1", both: true)
}

#let sample(kind, text_of) = {
  if kind == "changed" { underline(strong(text_of)) }
  else if kind == "small" { text(size: 0.78em, text_of) }
  else if kind == "box" {
    let foot = rect(width: 5mm, height: 1.2mm, stroke: (top: 0.9pt, left: none, bottom: none, right: 0.9pt))
    grid(columns: 2, align: bottom,
      box(stroke: 0.6pt, inset: 2.5pt, text(size: 0.88em, strong(text_of))), move(dy: 1.2mm, foot))
  } else { text_of }
}
#let last_words = {
  if said.signs.len() + said.legend.len() > 0 { block(breakable: false, above: 19pt)[
    = Signs
    #if said.signs.len() > 0 {
      grid(columns: (auto, 1fr), column-gutter: 5mm, row-gutter: 0.9em, align: (left + horizon, left + horizon),
        ..said.signs.map(sign => (sample(sign.kind, sign.sample), sign.meaning)).flatten())
    }
    #for line in said.legend { par(line) }
  ] }
  block(breakable: false, above: 19pt, {
    if said.provenance.len() > 0 [
      = Where the figures come from
      #for line in said.provenance { par(line) }
    ]
    if said.cautions.len() > 0 {
      block(width: 100%, stroke: 0.9pt, inset: 9pt, above: 1.6em)[
        #text(size: 12pt, strong[Take care])
        #for line in said.cautions { par(line) }
      ]
    }
  })
}
#let under_music = block(width: sheet.width - 2 * side, {
  set text(size: 9pt)
  show heading: set text(size: 11pt)
  last_words
})
#let fits() = said.pictures.len() + said.table.len() == 0 and measure(under_music).height <= said.free * 1mm

#for (number, key) in said.pages.enumerate(start: 1) {
  page(..sheet, margin: 0mm,
    foreground: place(bottom, dx: 13mm, dy: -12.5mm, block(width: sheet.width - 26mm, foot)),
  )[
    #image(bytes(sys.inputs.at(key)), format: "svg", width: 100%, alt: "Music, page " + str(number))
    #if number == said.pages.len() {
      context if fits() { place(bottom, dx: side, dy: -20mm, under_music) }
    }
  ]
}

#set page(..sheet, margin: (x: side, top: 16mm, bottom: 18mm), footer: foot)

#let fitted(key, name) = layout(room => {
  let drawn = image(bytes(sys.inputs.at(key)), format: "svg", width: room.width, alt: name)
  let tallest = said.height * 1mm - 60mm
  if measure(drawn).height <= tallest { drawn } else {
    align(center, image(bytes(sys.inputs.at(key)), format: "svg", height: tallest, alt: name))
  }
})
#for picture in said.pictures {
  block(breakable: false)[
    = #picture.title
    #fitted(picture.key, picture.title)
  ]
}

#if said.table.len() > 0 {
  let cells(row) = (
    strong(row.number), row.bar, row.notes, row.as_it_stands, row.legato_tongue,
    ..if said.positions { () } else { (row.half_valve,) },
    row.others.join(linebreak()), row.why,
  ).map(cell => table.cell(breakable: false, cell))
  let choices(..rows) = {
    set text(size: 9.5pt)
    set par(leading: 0.45em)
    table(
      columns: (..said.columns.slice(1).map(_ => auto), 1fr),
      align: (x, y) => if x >= 3 and x < said.columns.len() - 2 { right } else { left },
      stroke: (x, y) => (bottom: if y == 0 { 0.9pt } else { 0.4pt }),
      inset: (x: 4pt, y: 4.5pt),
      table.header(..said.columns.map(name => table.cell(breakable: false, align: bottom, strong(name)))),
      ..rows.pos().map(cells).flatten(),
    )
  }
  // A heading never stays behind alone: the page must have room for it, the note and the first row.
  let opening = block(width: sheet.width - 2 * side)[
    = Choices at the weak slurs
    #said.table_note
    #choices(said.table.first())
  ]
  context {
    let needed = measure(opening).height + 20pt
    block(breakable: false, height: needed, above: 0pt, below: 0pt)
    v(-needed)
  }
  heading(level: 1)[Choices at the weak slurs]
  block(sticky: true, said.table_note)
  choices(..said.table)
}

#context if not fits() { last_words }
"""
_HALF_VALVE = "Half-\nvalve"
_COLUMNS = (
    "No.",
    "Bar",
    "Slur",
    "As it\nstands",
    "Legato\ntongue",
    _HALF_VALVE,
    "Other fingerings:\nrisk (cents)",
    "Why",
)
_TABLE_NOTE = (
    "Chance that the slur does not speak cleanly, by what you do about it; in brackets the cents of both notes, "
    "+ sharp. Practise the normal way first; the rescue comes second."
)


def sheet_source() -> str:
    """Give the document's source, the same for every part."""
    return _SOURCE


def sheet_inputs(request: PageRequest, pages: Sequence[str], *, free_mm: float = 0.0) -> Mapping[str, str]:
    """Give the document its inputs: drawings by name, and under ``said`` everything that is said.

    Args:
        request: what goes on the stand.
        pages: the cleaned pages of music, one SVG each.
        free_mm: height that the last of them leaves empty over its foot; what follows the music stands there if it
            is short [mm].

    """
    drawings = {f"page{number}": page for number, page in enumerate(pages, start=1)}
    pictures = {f"picture{number}": picture.svg for number, picture in enumerate(request.pictures, start=1)}
    width, height = PAPER_SIZES_MM[request.paper]
    said = {
        "width": width,
        "height": height,
        "free": free_mm,
        "title": printable(request.title),
        "running": printable(request.running or request.title),
        "pages": list(drawings),
        "pictures": [
            {"title": printable(picture.title), "key": key}
            for key, picture in zip(pictures, request.pictures, strict=True)
        ],
        "columns": _columns(request),
        "positions": request.positions,
        "table_note": f"{_TABLE_NOTE} {printable(request.table_note)}".strip(),
        "table": [_row(row) for row in request.table],
        "signs": _signs(request),
        "legend": [printable(line) for line in request.legend],
        "provenance": [printable(line) for line in request.provenance],
        "cautions": [printable(line) for line in request.cautions],
    }
    return {**drawings, **pictures, "said": json.dumps(said, ensure_ascii=False)}


def _columns(request: PageRequest) -> list[str]:
    """Name the columns; a slide has positions, and no valve to dip."""
    if not request.positions:
        return list(_COLUMNS)
    return [name.replace("fingerings", "positions") for name in _COLUMNS if name != _HALF_VALVE]


def _row(row: ChoiceRow) -> dict[str, Any]:
    return {
        "number": f"S{row.number}",
        "bar": printable(row.bar),
        "notes": printable(row.notes),
        "as_it_stands": printable(row.as_it_stands),
        "legato_tongue": printable(row.legato_tongue),
        "half_valve": printable(row.half_valve),
        "others": [printable(line) for line in row.others] or ["–"],
        "why": printable(row.why),
    }


def _signs(request: PageRequest) -> list[dict[str, str]]:
    """Explain the signs that the pages themselves draw, those only that are there."""
    signs: list[tuple[str, str, str]] = []
    what = "position" if request.positions else "fingering"
    changed = [label.text for _, label in sorted(request.labels.items()) if label.changed]
    normal = [label.text for _, label in sorted(request.labels.items()) if not label.changed]
    if changed:
        signs.append(("changed", changed[0], f"Bold and underlined: not the normal {what} of this note."))
    if normal and changed:
        signs.append(("plain", normal[0], f"The normal {what}."))
    if request.labels and request.row_style is RowStyle.CHANGES:
        signs.append(("plain", "", f"No {what} under a note: play the normal one."))
    graces = [note.index for note in request.part.notes if note.grace and note.index in request.labels]
    if graces:
        signs.append(("small", request.labels[graces[0]].text, f"Small: the {what} of a grace note."))
    if has_tight_labels(request):
        signs.append(("plain", "123", "In crowded bars the hyphens are left out: 123 is 1-2-3."))
    if request.weak:
        mark = request.weak[0]
        meaning = (
            "Weak slur: its number in the table and, where there is room, the chance that it breaks as it stands. "
            "The foot of the box reaches from the note you leave to the note you reach."
        )
        signs.append(("box", f"S{mark.number} {mark.label}".strip(), meaning))
    return [{"kind": kind, "sample": printable(sample), "meaning": meaning} for kind, sample, meaning in signs]
