"""Trials for tests: an invented slur of a euphonium, and tries that went as the test says."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from slurwright.devices.packaged import load_trial_rules
from slurwright.evidence.attempts import Source
from slurwright.evidence.trial.values import Arm, Aspect, Slot, TrialDesign, Try
from slurwright.listen.figure import Figure, Measured
from slurwright.listen.kept import TakenPart, TakenWay
from slurwright.pitch import CONCERT, Clef, SoundingPitch, WrittenPitch
from slurwright.plan import Technique

DAY = date(2026, 3, 2)
ARMS = (
    ("as it stands", "0", 3, Technique.PLAIN, 0.83),
    ("4 on F3", "4", 4, Technique.PLAIN, 0.95),
    ("legato tongue", "0", 3, Technique.LEGATO_TONGUE, 0.92),
    ("1-3 on F3", "1-3", 4, Technique.PLAIN, 0.94),
)


def way(name: str, fingering: str, partial: int) -> TakenWay:
    return TakenWay(WrittenPitch.named(name), SoundingPitch.named(name), fingering, partial)


def trial_of(arms: int = 2, *, seed: int = 7, aim: Aspect = Aspect.SPEAKING, **rules: float) -> TrialDesign:
    """Lay down a trial of F3 to Bb3."""
    return TrialDesign(
        part=TakenPart("dusk.musicxml", "0" * 32, "Dusk", "Euphonium"),
        label="3:1",
        clef=Clef.BASS,
        transposition=CONCERT,
        key_fifths=-2,
        mark="pp",
        dynamic=-3.0,
        tempo_qpm=80.0,
        time_s=0.75,
        hold_s=1.5,
        arms=tuple(
            Arm(
                name,
                (way("F3", fingering, partial), way("Bb3", "0", 4)),
                technique,
                chance,
                learnt=False,
                cents=(2.0, 0.0),
            )
            for name, fingering, partial, technique, chance in ARMS[:arms]
        ),
        aim=aim,
        seed=seed,
        rules=replace(load_trial_rules(), **rules),  # type: ignore[arg-type]
    )


def tries_that(
    *went: Sequence[float],
    quality: Sequence[Sequence[float]] | None = None,
    cents: Sequence[Sequence[float]] | None = None,
) -> tuple[Try, ...]:
    """Tries of each arm, one a block: how sure each is that it spoke."""
    return tuple(
        Try(
            Slot(block, arm),
            spoke,
            None if quality is None else sharp(quality[arm][block], 0.05),
            None if cents is None else (sharp(cents[arm][block], 1.0), sharp(0.0, 1.0)),
            Source.EAR if quality is None else Source.TAKE,
            DAY,
        )
        for arm, spokes in enumerate(went)
        for block, spoke in enumerate(spokes)
    )


def sharp(value: float, half: float) -> Measured:
    return Figure(value, value - half, value + half)
