"""Players change a fingering only where it pays: at mf almost never, softer more often, and only at weak slurs."""

import pytest

from builders.lines import random_line
from slurwright.devices.packaged import horn_ids, load_chances, load_horn
from slurwright.plan import PlanRequest, plan_line, slur_reports
from slurwright.plan.conditions import with_dynamic

CHANCES = load_chances()
SIZE = 300


@pytest.mark.parametrize("horn_id", horn_ids())
def test_an_ordinary_part_keeps_to_normal_fingerings(horn_id: str) -> None:
    horn = load_horn(horn_id)
    line = random_line(horn, SIZE, seed=11)
    changes = [plan_line(with_dynamic(line, level), horn, chances=CHANCES)[0].changes for level in (0.0, -2.0, -4.0)]
    assert changes[0] <= 0.03 * SIZE
    assert changes == sorted(changes), "softer playing never asks for fewer changes on this line"
    assert changes[2] <= 0.10 * SIZE


@pytest.mark.parametrize("horn_id", ["euphonium-4c", "horn-double", "tuba-eb-4c", "trombone"])
def test_changes_at_pp_stand_beside_slurs_that_were_weak(horn_id: str) -> None:
    horn = load_horn(horn_id)
    line = with_dynamic(random_line(horn, SIZE, seed=3), -3.0)
    normal = plan_line(line, horn, chances=CHANCES, request=PlanRequest(most_changes=0))[0]
    plan = plan_line(line, horn, chances=CHANCES)[0]
    weak = {
        end
        for report in slur_reports(line, normal, horn, chances=CHANCES)
        if report.break_risk > 0.05
        for end in (line.moves[report.move].source, line.moves[report.move].target)
    }
    changed = {sound.index for sound, way in zip(line.sounds, plan.ways, strict=True) if not way.normal}
    assert changed <= weak


@pytest.mark.parametrize("horn_id", ["euphonium-4c", "trumpet-b", "tuba-eb-4c", "horn-f"])
def test_no_exotic_way_serves_where_a_taught_one_does(horn_id: str) -> None:
    horn = load_horn(horn_id)
    line = with_dynamic(random_line(horn, SIZE, seed=7), -3.0)
    plan = plan_line(line, horn, chances=CHANCES)[0]
    for sound, way in zip(line.sounds, plan.ways, strict=True):
        taught = horn.alternates.get(sound.sounding.midi, ())
        assert way.normal or (way.fingering, way.partial) in taught, f"{way.fingering} on {sound.sounding}"
