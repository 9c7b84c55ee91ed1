"""What practice must live through: a program killed in the middle of a sheet or a trial. Run as a program of its own.

See `hardship`; ``python tests/store/hardship_practice.py killed FOLDER SEED COUNT``.
"""

import json
import random
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from builders.kept_practice import ear, sheet, trial
from builders.stores import NOW
from slurwright.evidence.attempts import Ear
from slurwright.evidence.kept import TickState
from slurwright.store import Store, open_store
from store.hardship import LEAST_KILLS, Answer, LostError, child, kill_after, the_horn, told

ITEMS = 12
TRIES = 4


def practise(path: Path, tell: Callable[[str], None]) -> None:
    """Work through sheets and trials, and say of each step that it is done."""
    with open_store(path, now=NOW) as store:
        horn = the_horn(store)
        player = store.player_named("ida").id
        while True:
            made = store.add_sheet(sheet(player, horn), now=NOW)
            begun = store.add_trial(trial(player, horn), now=NOW)
            tell(f"sheet {made.id} {begun.id}")
            for item in range(ITEMS):
                if item % 5 == 4:
                    store.tick_sheet(made.id, [(item, TickState.SKIPPED)], now=NOW)
                    tell(f"skip {made.id} {item}")
                    continue
                tries = [ear(player, horn, heard, sheet_id=made.id, label=str(item)) for heard in (*Ear, Ear.GOOD)]
                kept = store.log_item(made.id, item, tries, now=NOW)
                tell(" ".join(["item", made.id, str(item), *(one.id for one in kept)]))
                for_trial = store.log_attempts([ear(player, horn, trial_id=begun.id, arm="a")] * TRIES, now=NOW)
                tell(" ".join(["log", *(one.id for one in for_trial)]))
                store.withdraw_attempts([for_trial[0].id], now=NOW)
                tell(f"withdraw {for_trial[0].id}")
            store.end_trial(begun.id, now=NOW)
            tell(f"end {begun.id}")


@dataclass(slots=True)
class Said:
    """What was acknowledged."""

    made: set[str] = field(default_factory=set)
    states: dict[tuple[str, int], TickState] = field(default_factory=dict)
    logged: set[str] = field(default_factory=set)
    withdrawn: set[str] = field(default_factory=set)
    ended: set[str] = field(default_factory=set)

    def hear(self, line: str) -> None:
        """Take one acknowledgement."""
        verb, *words = line.split()
        if verb == "sheet":
            self.made.update(words)
        elif verb in ("skip", "item"):
            self.states[words[0], int(words[1])] = TickState.SKIPPED if verb == "skip" else TickState.DONE
            self.logged.update(words[2:])
        elif verb == "log":
            self.logged.update(words)
        else:
            (self.withdrawn if verb == "withdraw" else self.ended).update(words)


def killed(folder: Path, seed: int, count: int) -> Answer:
    """Kill players' programs at random moments until so many items were ticked and enough programs killed."""
    rng = random.Random(seed)
    path = folder / "store.sqlite3"
    said = Said()
    kills = 0
    while len(said.states) < count or kills < LEAST_KILLS:
        pid, pipe = child(lambda tell: practise(path, tell))
        kill_after(pid, rng.uniform(0.0, 0.4))
        kills += 1
        for line in told(pipe):
            said.hear(line)
        with open_store(path, now=NOW) as store:
            _look(store, said, kills)
    return {"ticks": len(said.states), "attempts": len(said.logged), "kills": kills, "lost": 0}


def _look(store: Store, said: Said, kills: int) -> None:
    all_there = store.export_all()
    attempts = {whole.attempt.id: whole.attempt for whole in all_there.attempts}
    trials = {whole.trial.id: whole.trial for whole in all_there.trials}
    sheets = {whole.sheet.id: whole.ticks for whole in all_there.sheets}
    states = {(sheet_id, tick.item): tick.state for sheet_id, ticks in sheets.items() for tick in ticks}
    if said.made - set(trials) - set(sheets) or said.logged - set(attempts):
        raise LostError(f"something that was acknowledged is gone after {kills} kills")
    if any(states.get(place) is not state for place, state in said.states.items()):
        raise LostError(f"a tick that was acknowledged is gone after {kills} kills")
    if any(attempts[one].withdrawn_at is None for one in said.withdrawn):
        raise LostError("a withdrawal was lost")
    if any(trials[one].ended_at is None for one in said.ended):
        raise LostError("the end of a trial was lost")
    tried: dict[tuple[str, int], int] = {}
    for one in attempts.values():
        if one.about.sheet_id is not None:
            place = (one.about.sheet_id, int(one.about.label))
            tried[place] = tried.get(place, 0) + 1
    done = {place for place, state in states.items() if state is TickState.DONE}
    if set(tried) != done or set(tried.values()) - {len(Ear) + 1}:
        raise LostError("an item was logged in part, or without its tick")
    of_trials = sum(one.about.trial_id is not None for one in attempts.values())
    if of_trials % TRIES or len(states) > len(said.states) + kills:
        raise LostError("a write was done in part, or more is there than was written")


HARDSHIPS = {"killed": killed}

if __name__ == "__main__":
    which, where, given_seed, given_count = sys.argv[1:]
    sys.stdout.write(json.dumps(HARDSHIPS[which](Path(where), int(given_seed), int(given_count))) + "\n")
