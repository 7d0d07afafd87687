"""The integer and linear solver, made quiet and repeatable."""

from __future__ import annotations

import ctypes
import os

import highspy


def quiet_solver() -> highspy.Highs:
    """Return a solver that prints nothing and does the same work every time."""
    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("parallel", "off")
    solver.setOptionValue("random_seed", 7)
    return solver


def _hush_banner() -> None:
    """Make the first solver while nothing reaches standard output.

    The first solver of a process prints its name and licence before any option can be set. This is done once, when
    the module is imported, since a process has one standard output for all its threads. Where it cannot be done,
    the banner is printed.
    """
    try:
        flush = ctypes.CDLL(None).fflush
        kept = os.dup(1)
    except (OSError, TypeError, AttributeError):
        return
    try:
        # What others have written so far must not be lost, nor what the solver wrote come out later.
        flush(None)
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.close(nowhere)
        quiet_solver()
        flush(None)
    finally:
        os.dup2(kept, 1)
        os.close(kept)


_hush_banner()
