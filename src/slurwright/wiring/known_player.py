"""What is known of a player on their own horn, for whatever makes a study; never in the way of a plan."""

from dataclasses import dataclass

from slurwright.devices.clock import today
from slurwright.devices.packaged import load_beliefs, load_chances, load_horn
from slurwright.errors import SlurwrightError
from slurwright.horn.owned import OwnedHorn
from slurwright.jobs.known_player import KnownPlayer, known_on, learn_player
from slurwright.store import Store
from slurwright.wiring.horns import opened_store

__all__ = ["FoundPlayer", "find_player"]


@dataclass(frozen=True, slots=True, eq=False)
class FoundPlayer:
    """What is known of a player on a horn, and what was assumed in finding it out."""

    player: KnownPlayer | None
    """None where there is nothing to learn from, or where it could not be learnt."""
    notices: tuple[str, ...] = ()


def find_player(owned: OwnedHorn | None) -> FoundPlayer:
    """Learn the player whose horn it is from all that they tried.

    A plan never waits for this in vain: where nothing can be learnt, the reason is said and the priors stand.

    Args:
        owned: their horn; None for a model of the catalogue, which has no player.
    """
    if owned is None:
        return FoundPlayer(None)
    try:
        with opened_store() as store:
            player = _player_on(store, owned)
    except (SlurwrightError, ArithmeticError) as error:
        return FoundPlayer(None, (f"nothing could be learnt from your attempts, so the priors stand: {error}",))
    return FoundPlayer(player, () if player is None else player.notices)


def _player_on(store: Store, owned: OwnedHorn) -> KnownPlayer | None:
    """Learn the player whose horn it is; None where there is nothing to learn from.

    Args:
        store: what players keep.
        owned: their horn.
    """
    learnt = learn_player(
        store,
        owned.player_id,
        catalogue=load_horn,
        chances=load_chances(),
        beliefs=load_beliefs(),
        today=today(),
    )
    return known_on(learnt, owned.id)
