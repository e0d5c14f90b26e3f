"""The self-check: it passes here, notices what is wrong, and tells all of it."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from importlib import import_module
from importlib.resources import files
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest

from sessions.selfcheck import record as record_module
from sessions.selfcheck.catalogue import all_checks
from sessions.selfcheck.check import Check, Mark
from sessions.selfcheck.computer import digest_of, this_computer
from sessions.selfcheck.record import Record, selfcheck
from sessions.selfcheck.record_table import record_table
from sessions.selfcheck.tables import table
from sessions.selfcheck.write import write_record
from solver.refused import Refused

PUBLISHED = Path(__file__).parents[1] / "published"
NOW = datetime(2026, 3, 2, 9, 30, 15, 999, tzinfo=timezone(timedelta(hours=1)))
INVENTED = Check("topic", "name", "invented", "read", "solver.adjust.adjust", {"a": 1.0, "b": 2.0}, 0.1, list)


@pytest.fixture(scope="module")
def record() -> Record:
    return selfcheck(NOW)


def test_every_check_is_within_its_tolerance(record: Record) -> None:
    assert [(each.check.topic, each.check.name, each.error) for each in record.off] == []
    assert record.within
    assert len(record.outcomes) > 70
    assert record.values > 600


def test_every_value_counts(record: Record) -> None:
    """A published value that was wrong by two and a half tolerances would be seen, whichever it is."""
    for outcome in record.outcomes:
        expected = outcome.check.expected
        for i, (label, value) in enumerate(expected.items()):
            away = 2.5 * outcome.check.tolerance or 1
            other = replace(outcome, check=replace(outcome.check, expected={**expected, label: value + away}))
            assert not other.within
            assert (other.beyond, other.farthest) == ((i,), i)


def test_each_says_where_it_comes_from_and_what_runs(record: Record) -> None:
    checks = [outcome.check for outcome in record.outcomes]
    assert {check.mark for check in checks} == set(get_args(Mark))
    assert len({(check.topic, check.name) for check in checks}) == len(checks)
    for check in checks:
        assert check.source
        for name in check.function.split(", "):
            module, _, function = name.rpartition(".")
            assert hasattr(import_module(module), function), name


@pytest.mark.parametrize(
    ("what", "topics"),
    [
        ("solver.coverage.student", {"Coverage factors and quantiles", "Worked examples of the GUM"}),
        ("solver.repeats.student", {"Outliers among repeats"}),
        ("solver.repeats.fisher", {"Outliers among repeats"}),
        ("solver.repeats.studentized_range", {"Outliers among repeats"}),
        ("solver.esd.student", {"Several outliers, generalized ESD"}),
        ("solver.decision.student_tail", {"Comparison and decision"}),
        ("solver.model_tests.fisher_tail", {"Worked examples of the GUM"}),
        ("solver.comparison.np.hypot", {"Comparison and decision"}),
    ],
)
def test_a_slip_in_the_program_is_seen(monkeypatch: pytest.MonkeyPatch, what: str, topics: set[str]) -> None:
    module, _, name = what.rpartition(".")
    true = getattr(import_module(module) if module != "solver.comparison.np" else np, name)
    monkeypatch.setattr(what, lambda *given: np.asarray(true(*given)) * 1.3)
    off = {outcome.check.topic for outcome in (check.run() for check in all_checks()) if not outcome.within}
    assert topics <= off


def test_a_slip_in_the_adjustment_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """Residuals counted with one degree of freedom too many move s and the uncertainties, not the effects."""
    from sessions import analysis

    def slipped(*given: Any) -> Any:
        made = true(*given)
        return replace(made, standard_deviation=made.standard_deviation * np.sqrt(12 / 13))

    true = analysis.adjust
    monkeypatch.setattr("sessions.analysis.adjust", slipped)
    off = [outcome.check.name for outcome in (check.run() for check in all_checks()) if not outcome.within]
    assert off == [
        "sums of squares",
        "standard deviation of a cell",
        "uncertainty of an effect",
        "uncertainty of a difference",
        "one missing: sum of squares",
    ]


@pytest.mark.parametrize(
    ("obtained", "beyond", "farthest"),
    [([1.0, 2.1], (), 1), ([1.05, 1.8], (1,), 1), ([np.nan, 3.0], (0, 1), 0), ([np.inf, 2.0], (0,), 0)],
)
def test_what_is_beyond(obtained: list[float], beyond: tuple[int, ...], farthest: int) -> None:
    outcome = replace(INVENTED, obtain=lambda: obtained, tolerance=0.1 + 1e-12).run()
    assert (outcome.within, outcome.beyond, outcome.farthest) == (not beyond, beyond, farthest)


def breaks() -> list[float]:
    raise Refused("the scatter is not known", where="somewhere")


@pytest.mark.parametrize(
    ("obtain", "error"),
    [
        (breaks, "Refused: somewhere: the scatter is not known."),
        (lambda: [1.0, None], "TypeError"),
        (lambda: [1.0], "1 values were obtained and 2 expected"),
        (list, "0 values were obtained and 2 expected"),
    ],
)
def test_a_check_that_breaks_is_off_and_says_why(obtain: Callable[[], Any], error: str) -> None:
    outcome = replace(INVENTED, obtain=obtain).run()
    if error == "TypeError":  # None becomes nan, which is no value
        assert outcome.beyond == (1,)
    else:
        assert outcome.error == error
        assert np.isnan(outcome.largest)
    assert not outcome.within


def test_the_session_of_the_check_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    assert selfcheck(NOW).within
    assert list(tmp_path.iterdir()) == []


def test_without_room_for_the_session_its_checks_are_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "missing"))
    made = selfcheck(NOW)
    assert {outcome.check.topic for outcome in made.off} == {"Session file to results"}
    assert all("missing" in outcome.error for outcome in made.off)


def test_the_published_tables_are_those_of_the_tests() -> None:
    """The package holds the data; the tests have copies, which must be the same to the letter."""
    packaged = {
        file.name: file.read_text(encoding="utf-8")
        for file in files("sessions.published").iterdir()
        if file.name.endswith(".csv")
    }
    copies = {file.name: file.read_text(encoding="utf-8") for file in PUBLISHED.glob("*.csv")}
    assert copies
    assert {name: packaged[name] for name in copies} == copies


def test_a_missing_table_is_refused() -> None:
    with pytest.raises(Refused, match="missing from the installation"):
        table("nothing")


def test_time_and_computer(record: Record) -> None:
    assert record.time == NOW.replace(microsecond=0)
    assert record.time.utcoffset() == timedelta(hours=1)
    assert record.computer == this_computer()
    assert record.computer.numpy == np.__version__
    assert record.computer.blas


def test_the_digest_tells_changed_programs_apart(tmp_path: Path) -> None:
    for name, data in (("a", b"x = 1\n"), ("b", b"x = 1\r\n"), ("c", b"x = 2\n"), ("d", b"x = 1\n")):
        (tmp_path / name / "inner").mkdir(parents=True)
        (tmp_path / name / "inner" / "module.py").write_bytes(data)
    (tmp_path / "a" / "inner" / "module.pyc").write_bytes(b"compiled")
    (tmp_path / "d" / "added.csv").write_bytes(b"")
    found = {name: digest_of({"solver": tmp_path / name}) for name in "abcd"}
    assert found["a"] == found["b"]
    assert len(set(found.values())) == 3
    assert len(found["a"]) == 64


def test_the_record_as_plain_data(record: Record) -> None:
    made = json.loads(json.dumps(record_table(record), allow_nan=False))
    assert (made["format"], made["version"]) == ("fullturn selfcheck", 1)
    assert made["date"] == "2026-03-02T09:30:15+01:00"
    assert made["within_tolerance"] is True
    assert (made["checks_off"], made["values"]) == (0, record.values)
    assert made["computer"]["program_sha256"] == record.computer.program_sha256
    for check, outcome in zip(made["checks"], record.outcomes, strict=True):
        assert len(check["labels"]) == len(check["expected"]) == len(check["obtained"])
        assert dict(zip(check["labels"], check["expected"], strict=True)) == outcome.check.expected
        assert abs(check["largest_deviation"]) <= check["tolerance"]
        assert check["error"] is None


def test_what_was_not_obtained_is_null(monkeypatch: pytest.MonkeyPatch) -> None:
    broken = (replace(INVENTED, obtain=breaks), replace(INVENTED, obtain=lambda: [np.nan, 2.0]))
    monkeypatch.setattr(record_module, "all_checks", lambda: broken)
    made = record_table(selfcheck(datetime(2026, 3, 2, tzinfo=UTC)))
    assert made["within_tolerance"] is False
    assert made["checks_off"] == 2
    assert [check["obtained"] for check in made["checks"]] == [[None, None], [None, 2.0]]
    assert made["checks"][0]["error"].startswith("Refused")
    json.dumps(made, allow_nan=False)


def test_a_record_is_never_written_over(tmp_path: Path) -> None:
    path = tmp_path / "record.txt"
    write_record(path, "first ± ″\n")
    assert path.read_bytes() == "first ± ″\n".encode()
    with pytest.raises(Refused, match="there already"):
        write_record(path, "second")
    assert path.read_text(encoding="utf-8").startswith("first")
    with pytest.raises(Refused, match="no such folder"):
        write_record(tmp_path / "none" / "record.json", "")
    for name in ("record.pdf", "record"):
        with pytest.raises(Refused, match="cannot be written"):
            write_record(tmp_path / name, "")
    assert [each.name for each in tmp_path.iterdir()] == ["record.txt"]
