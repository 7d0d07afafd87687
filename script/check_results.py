"""Refuses a test run that proves nothing: one without tests, or with tests that were skipped.

Takes the JUnit file that pytest wrote, and the fewest tests that there must be.
"""

import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path


def problems(report: str, fewest: int) -> list[str]:
    """What is wrong with the run that this JUnit report tells of; empty if nothing is."""
    suites = list(ElementTree.fromstring(report).iter("testsuite"))
    ran = sum(int(suite.get("tests", 0)) for suite in suites)
    skipped = [
        f"{case.get('classname')}.{case.get('name')}"
        for case in ElementTree.fromstring(report).iter("testcase")
        if case.find("skipped") is not None
    ]
    found = [f"skipped: {name}" for name in skipped]
    if ran < fewest:
        found.append(f"only {ran} tests ran, at least {fewest} were expected")
    return found


if __name__ == "__main__":
    found = problems(Path(sys.argv[1]).read_text(), int(sys.argv[2]))
    print("\n".join(found))
    sys.exit(1 if found else 0)
