"""One small tune of our own, "Ferry Bell", in the notations that are read, with what each of them can say."""

import io
from collections.abc import Sequence

import mido

__all__ = ["ABC", "HUMDRUM", "MEI", "TUNE_KEYS", "midi_file"]

ABC = """\
X:7
T:Ferry Bell
C:A. Harbourer
M:3/4
L:1/8
Q:1/4=84
V:1 name="Euphonium" clef=bass
K:Bb
!p!(B,2 C2 D2) | .E2 "^cantabile"F4 | {EF}(G2 !fermata!F2) z2 | [1 !<(!(D>E) F2 !<)!!f!B2 :|
w: Ring, bell
% between <notes> in a comment: A B C
[2 (3(F_AG) F2 B,2- | B,6 |]
"""

HUMDRUM = """\
!!!OTL: Ferry Bell
!!!COM: Harbourer, A.
**kern\t**dynam\t**kern
*part2\t*part2\t*part1
*staff2\t*staff2\t*staff1
*I"Euphonium\t*\t*I"Cornet
*clefF4\t*\t*clefG2
*k[b-e-]\t*\t*k[b-e-]
*M3/4\t*\t*M3/4
*MM84\t*\t*MM84
=1\t=1\t=1
(4BB-\tp\t4d
4C)\t<\t8cL
.\t.\t8dJ
4D;\t[\t4e-'
!! between measures
=2\t=2\t=2
*\t*\t*^
2r\tf\t4f\t4d
.\t.\t4g\t4e-
[4E-\t.\t4f\t4d
*\t*\t*v\t*v
=3\t=3\t=3
4E-]\t.\t4b-
qF\t.\t.
4Gn\t.\t6g
.\t.\t12f
4A-\t.\t4b-
==\t==\t==
*-\t*-\t*-
"""

MEI = """\
<?xml version="1.0" encoding="UTF-8"?>
<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0">
  <meiHead><fileDesc><titleStmt><title>Ferry Bell</title>
    <respStmt><persName role="composer">A. Harbourer</persName></respStmt></titleStmt><pubStmt/></fileDesc></meiHead>
  <music><body><mdiv><score>
    <scoreDef meter.count="3" meter.unit="4" keysig="2f">
      <staffGrp><label>Band</label>
        <staffDef n="1" lines="5" label="Cornet" clef.shape="G" clef.line="2"
          trans.diat="-1" trans.semi="-2" keysig="0"/>
        <staffDef n="2" lines="5" label="Euphonium" clef.shape="F" clef.line="4"/>
      </staffGrp>
    </scoreDef>
    <section>
      <measure n="1" left="rptstart">
        <staff n="1"><layer n="1"><note xml:id="c1" pname="e" oct="4" dur="2" dots="1"/></layer></staff>
        <staff n="2"><layer n="1">
          <note xml:id="n1" pname="b" oct="2" dur="4"/>
          <beam><note xml:id="n2" pname="c" oct="3" dur="8"/>
            <note xml:id="n3" pname="d" oct="3" dur="8" artic="stacc"/></beam>
          <note xml:id="n4" pname="e" oct="3" dur="4"><accid accid="n"/></note>
        </layer></staff>
        <dynam staff="2" tstamp="1">p</dynam>
        <tempo staff="1" tstamp="1" mm="84" mm.unit="4">Calmly</tempo>
        <slur staff="2" startid="#n1" endid="#n3"/>
        <hairpin staff="2" form="cres" tstamp="1" tstamp2="1m+1"/>
        <fing startid="#n1">1</fing>
      </measure>
      <measure n="2">
        <staff n="1"><layer n="1"><mRest/></layer></staff>
        <staff n="2"><layer n="1">
          <graceGrp grace="unacc"><note pname="f" oct="3" dur="8"/></graceGrp>
          <note xml:id="n5" pname="e" oct="3" dur="4" tie="i"/>
          <note xml:id="n6" pname="e" oct="3" dur="4" tie="t"/>
          <tuplet num="3" numbase="2"><note pname="f" oct="3" dur="8"/>
            <note pname="g" oct="3" dur="8"/><rest dur="8"/></tuplet>
        </layer></staff>
        <dynam staff="2" tstamp="1">f</dynam>
        <slur staff="2" tstamp="3" tstamp2="0m+3.33"/>
      </measure>
      <ending n="1"><measure n="3" right="rptend">
        <staff n="1"><layer n="1"><mRest/></layer></staff>
        <staff n="2"><layer n="1"><note pname="f" oct="3" dur="2" dots="1"/></layer></staff>
        <fermata staff="2" tstamp="1"/>
      </measure></ending>
      <ending n="2"><measure n="4" right="end">
        <staff n="1"><layer n="1"><mRest/></layer></staff>
        <staff n="2"><layer n="1"><chord dur="2" dots="1"><note pname="b" oct="2"/></chord></layer></staff>
      </measure></ending>
    </section>
  </score></mdiv></body></music>
</mei>
"""

TUNE_KEYS: Sequence[tuple[int, float]] = (
    (58, 1.0),
    (60, 0.5),
    (62, 0.5),
    (63, 1.5),
    (65, 0.5),
    (67, 1 / 3),
    (68, 1 / 3),
    (67, 1 / 3),
    (65, 1.0),
    (58, 2.0),
)
"""Key numbers and lengths in quarters."""


def midi_file(
    notes: Sequence[tuple[int, float]] = TUNE_KEYS,
    *,
    kind: int = 1,
    overlap: float = -0.05,
    velocities: Sequence[int] = (80,),
    key: str | None = "Bb",
) -> bytes:
    """Write a MIDI file of one line at 84 quarters a minute in 3/4.

    Args:
        notes: key numbers and lengths.
        kind: format of the file, 0 or 1.
        overlap: how much longer each note is held than written [quarters].
        velocities: used in turn.
        key: key signature, or None.

    """
    file = mido.MidiFile(type=kind, ticks_per_beat=480)
    head = mido.MidiTrack()
    head.append(mido.MetaMessage("track_name", name="Ferry Bell" if kind else "Euphonium"))
    head.append(mido.MetaMessage("set_tempo", tempo=mido.bpm2tempo(84)))
    head.append(mido.MetaMessage("time_signature", numerator=3, denominator=4))
    if key is not None:
        head.append(mido.MetaMessage("key_signature", key=key))
    file.tracks.append(head)
    track = head
    if kind:
        track = mido.MidiTrack()
        track.append(mido.MetaMessage("track_name", name="Euphonium"))
        file.tracks.append(track)
    track.append(mido.Message("program_change", program=58))
    events: list[tuple[int, int, mido.Message]] = []
    now = 0.0
    for number, (pitch, length) in enumerate(notes):
        start, end = round(480 * now), round(480 * (now + length + overlap))
        velocity = velocities[number % len(velocities)]
        events.append((start, 1, mido.Message("note_on", note=pitch, velocity=velocity)))
        events.append((end, 0, mido.Message("note_off", note=pitch)))
        now += length
    tick = 0
    for at, _, message in sorted(events, key=lambda event: event[:2]):
        track.append(message.copy(time=at - tick))
        tick = at
    stream = io.BytesIO()
    file.save(file=stream)
    return stream.getvalue()
