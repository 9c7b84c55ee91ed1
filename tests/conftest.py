"""What a missing oracle or program means: its tests are skipped and named at the end of the run, or they fail.

A test marked ``oracle`` compares with another library; one marked ``needs("pdftotext")`` runs that program. With
``SLURWRIGHT_NO_SKIPS=1`` the machine is held to have them all, so that nothing goes untested without a word.
"""

import os
import shutil
from collections.abc import Generator

import pytest
from hypothesis import settings

# As the command line has it: several test processes that each start a thread a core are in each other's way.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

NO_SKIPS = os.environ.get("SLURWRIGHT_NO_SKIPS") == "1"

settings.register_profile("suite", max_examples=50, deadline=None)
settings.load_profile("suite")


def pytest_runtest_setup(item: pytest.Item) -> None:
    for mark in item.iter_markers("needs"):
        missing = [program for program in mark.args if shutil.which(program) is None]
        if missing:
            pytest.skip(f"not on this machine: {', '.join(missing)}")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    outside = item.get_closest_marker("oracle") or item.get_closest_marker("needs")
    if NO_SKIPS and outside and report.skipped and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = _told(report.longrepr)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    report = yield
    if NO_SKIPS and report.skipped:
        report.outcome = "failed"
        report.longrepr = _told(report.longrepr)
    return report


def _told(skipped: object) -> str:
    """Give the reason of a skip, which comes as path, line and reason."""
    reason = skipped[2] if isinstance(skipped, tuple) else skipped
    return f"with SLURWRIGHT_NO_SKIPS=1 nothing may be missing. {reason}"
