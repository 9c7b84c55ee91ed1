"""Comparing pitches in the unit that matters."""

__all__ = ["assert_cents"]


def assert_cents(got: float, want: float, *, within: float, about: str = "") -> None:
    """Fail unless two figures in cents agree.

    Args:
        got: what was computed [cents].
        want: what it should be [cents].
        within: largest difference that is allowed [cents].
        about: what the figure is of.

    """
    assert abs(got - want) <= within, f"{about}: got {got:+.2f} cents, wanted {want:+.2f} within {within}"
