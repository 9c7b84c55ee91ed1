"""Enter is noticed without waiting for it, and only where there is a terminal."""

import io
import os
import sys
import time

import pytest

from slurwright.devices.keyboard import enter_was_pressed

pty = pytest.importorskip("pty")


def test_enter_is_noticed_and_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    keys, terminal = pty.openpty()
    with os.fdopen(terminal, "r") as standing_in:
        monkeypatch.setattr(sys, "stdin", standing_in)
        assert not enter_was_pressed()
        os.write(keys, b"\n")
        until = time.monotonic() + 5
        while not (pressed := enter_was_pressed()) and time.monotonic() < until:
            time.sleep(0.01)
        assert pressed
        assert not enter_was_pressed()
    os.close(keys)


def test_a_pipe_has_no_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n"))
    assert not enter_was_pressed()
    closed = io.StringIO()
    closed.close()
    monkeypatch.setattr(sys, "stdin", closed)
    assert not enter_was_pressed()
