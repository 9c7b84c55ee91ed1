"""A horn as its player looks at it: every note and way, told apart by where the figures come from."""

from slurwright.devices.packaged import load_familiarity, load_horn, load_priors
from slurwright.horn.learnt import Shares, Tendency, ToneReading
from slurwright.horn.learnt.learn import learn
from slurwright.horn.learnt.predict import as_horn
from slurwright.pitch import SoundingPitch
from slurwright.plan.charted import ChartedNote, Knowledge, charted, knowledge_of
from slurwright.plan.ways import notes_of_range, ways_of


def tone(words: str) -> ToneReading:
    pitch, fingering, partial, cents = words.split()
    return ToneReading(SoundingPitch.named(pitch), fingering, int(partial), float(cents), "monday")


def chart_of(model: str, *tones: str) -> dict[str, ChartedNote]:
    learnt = learn(load_horn(model), [tone(words) for words in tones], load_priors())
    found = charted(learnt, as_horn(learnt), familiarity=load_familiarity())
    return {str(note.sounding): note for note in found}


def test_every_note_and_every_way_of_the_plan_stands_there() -> None:
    learnt = learn(load_horn("euphonium-4c"), [tone("F3 0 3 -9")], load_priors())
    horn = as_horn(learnt)
    found = charted(learnt, horn, familiarity=load_familiarity())
    assert [note.sounding for note in found] == list(notes_of_range(horn))
    for note in found:
        own = ways_of(note.sounding, horn, familiarity=load_familiarity())
        assert tuple(one.way for one in note.ways) == own
        for one in note.ways:
            assert abs(one.tendency.mean_cents - one.way.cents) < 1e-6
            assert abs(one.tendency.sd_cents - one.way.spread_cents) < 1e-6


def test_where_figures_come_from() -> None:
    found = chart_of("euphonium-4c", *("F3 0 3 -9", "Bb3 0 4 3", "F4 0 6 8", "Bb2 0 2 0", "C3 4 3 -12", "F3 4 4 -15"))
    ways = {one.way.fingering: one.knowledge for one in found["F3"].ways}
    assert (ways["0"], ways["4"]) == (Knowledge.MEASURED, Knowledge.MEASURED)
    assert {one.knowledge for note in found.values() for one in note.ways} == set(Knowledge)
    assert found["E1"].ways[0].knowledge is Knowledge.PRIOR
    assert {one.knowledge for note in chart_of("euphonium-4c").values() for one in note.ways} == {Knowledge.PRIOR}


def test_knowledge_turns_on_what_was_told() -> None:
    def told(*, inferred: float, readings: int = 0) -> Knowledge:
        shares = Shares(0.0, inferred, 1.0 - inferred)
        return knowledge_of(Tendency(0.0, 5.0, -8.0, 8.0, shares, readings))

    assert told(inferred=0.1, readings=1) is Knowledge.MEASURED
    assert told(inferred=0.32) is Knowledge.PRIOR
    assert told(inferred=0.34) is Knowledge.INFERRED


def test_a_hand_slide_is_never_a_semitone_out() -> None:
    for note in chart_of("trombone-f", "G4 2 7 -20").values():
        for one in note.ways:
            assert abs(one.tendency.mean_cents) < 80.0
            assert one.tendency.low_cents < one.tendency.mean_cents < one.tendency.high_cents
