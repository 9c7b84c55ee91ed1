from builders.stand import stand_part
from slurwright.devices.packaged import load_horn
from slurwright.jobs.readings import AS_WRITTEN, own_reading
from slurwright.pitch import Clef


def test_a_clef_that_the_horn_does_not_read_is_still_named_rightly() -> None:
    reading = own_reading(stand_part("q:E4 q:D4 h:E4", clef=Clef.ALTO), load_horn("horn-f"))
    assert (reading.id, reading.name, reading.clef) == (AS_WRITTEN, "alto clef, at concert pitch", Clef.ALTO)


def test_a_clef_that_the_horn_reads_is_that_reading() -> None:
    reading = own_reading(stand_part("q:F3 h.:Bb3"), load_horn("euphonium-4c"))
    assert reading.id == "bass-concert"
