"""The store is what the ports ask for; mypy holds the types, this the names."""

from pathlib import Path

from builders.stores import NOW, fill
from slurwright.jobs.ports import KeptHorns, KeptReadings
from slurwright.store import open_store


def test_the_store_serves_the_ports(tmp_path: Path) -> None:
    with open_store(tmp_path / "store.sqlite3", now=NOW) as store:
        fill(store)
        horns: KeptHorns = store
        readings: KeptReadings = store
        ida = horns.player_named("ida moor")
        (lent, old) = horns.horns(ida.id)
        assert horns.players()[0].name == "Ida Moor"
        assert horns.horn_named(ida.id, "lent") == lent
        (kept, *_) = readings.readings_of(old.id)
        readings.withdraw([kept.id], now=NOW)
        assert kept.id not in [one.id for one in readings.readings_of(old.id)]
        readings.restore([kept.id], now=NOW)
        assert readings.readings_of(old.id)[0].id == kept.id
