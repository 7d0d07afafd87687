"""script/check_libraries.py names each library that cannot be loaded, whatever else is there."""

import check_libraries
import pytest


def test_the_libraries_of_this_machine_load() -> None:
    assert check_libraries.missing() == []


@pytest.mark.parametrize("package", check_libraries.LIBRARIES)
def test_one_missing_library_is_not_hidden_by_the_others(
    package: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(check_libraries.LIBRARIES, package, ("libno-such-thing.so.0",))
    assert check_libraries.missing() == [package]
