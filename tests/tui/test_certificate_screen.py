"""The certificate on the screen."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Input, Static

from sessions.certificate.details import details_of, record
from sessions.certificate_data import certificate
from sessions.demo import copy_demo
from sessions.entries import Amend
from sessions.equipment import Circle
from sessions.session import Session
from tests.sessions.certified import DETAILS, certified, header, taken
from tests.tui.front import front, painted, put, settled
from tests.tui.test_reading import send
from tui.screens.ask import AskText, Confirm
from tui.screens.certificate import NO_FIELD, CertificateScreen
from tui.screens.still_open import StillOpen
from tui.widgets.field import Field


async def opened(pilot: Pilot[None], session: Session) -> CertificateScreen:
    await settled(pilot)
    screen = CertificateScreen(session)
    pilot.app.push_screen(screen)
    await settled(pilot)
    await settled(pilot)
    return screen


async def write_csv(pilot: Pilot[None]) -> None:
    """Write the certificate as CSV, by the number of its format."""
    await pilot.press("f9")
    await pilot.pause()
    await pilot.press("3", "enter")
    await settled(pilot)
    await settled(pilot)


def one_line(text: str) -> str:
    return " ".join(text.split())


async def test_details_are_filled_in_and_recorded(tmp_path: Path) -> None:
    app = front(tmp_path)
    with taken(tmp_path / "a.toml", header(6)) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            screen = await opened(pilot, session)
            assert "Not filled in: certificate number, laboratory" in painted(app)
            assert "All cells are read, and no flag stands; still a draft." in painted(app)
            await pilot.press("tab", *"FT-1", "down", *"2026-05-02")
            await pilot.pause()
            assert "Not recorded yet." in painted(app)
            await put(pilot, "laboratory", "Invented Room")
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert "Recorded." in painted(app)
            assert not screen.changed
            said = details_of(session.entries)
            assert (said.number, said.issued, said.laboratory) == ("FT-1", "2026-05-02", "Invented Room")
            before = len(session.entries)
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert len(session.entries) == before
            await pilot.press("escape")
            await pilot.pause()
            assert app.screen is not screen


async def test_written_from_the_screen(tmp_path: Path) -> None:
    app = front(tmp_path)
    with certified(tmp_path / "a.toml", header(6)) as session:
        async with app.run_test(size=(120, 36)) as pilot:
            screen = await opened(pilot, session)
            assert "Not filled in" not in painted(app)
            await pilot.press("f9")
            await pilot.pause()
            assert isinstance(app.screen, AskText)
            app.screen.query_one(Input).value = str(tmp_path / "out.doc")
            await pilot.press("enter")
            await pilot.pause()
            assert isinstance(app.screen, AskText)
            for wrong, said in (
                ("~nobody-of-this-name/out.html", "Write the path without “~”."),
                (str(tmp_path / f"{'n' * 300}.html"), "too long"),
            ):
                app.screen.query_one(Input).value = wrong
                await pilot.press("enter")
                await pilot.pause()
                assert said in " ".join(painted(app).split())
                assert isinstance(app.screen, AskText)
            app.screen.query_one(Input).value = str(tmp_path / "out.html")
            await pilot.press("enter")
            await settled(pilot)
            await settled(pilot)
            assert (tmp_path / "out.html").read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
            assert "The certificate is in" in painted(app)
            (tmp_path / "out.html").write_text("mine", encoding="utf-8")
            await pilot.press("f9")
            await pilot.pause()
            app.screen.query_one(Input).value = str(tmp_path / "out.html")
            await pilot.press("enter")
            await pilot.pause()
            assert isinstance(app.screen, Confirm)
            await pilot.press("l")
            await settled(pilot)
            assert (tmp_path / "out.html").read_text(encoding="utf-8") == "mine"
            assert app.screen is screen


async def test_a_number_chooses_the_format(tmp_path: Path) -> None:
    app = front(tmp_path)
    with certified(tmp_path / "a.toml", header(6)) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot, session)
            await write_csv(pilot)
            assert (tmp_path / "a.csv").read_text(encoding="utf-8").startswith("# Calibration certificate")


async def test_a_certificate_bears_the_day_on_which_it_was_first_written(tmp_path: Path) -> None:
    app = front(tmp_path)
    with certified(tmp_path / "a.toml", header(6)) as session:
        record(session, replace(details_of(session.entries), issued=""))
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot, session)
            await write_csv(pilot)
        day = app.clock().date().isoformat()
        assert details_of(session.entries).issued == day
        assert f"# date of issue: {day}" in (tmp_path / "a.csv").read_text(encoding="utf-8")


async def test_every_open_point_is_listed_in_full(tmp_path: Path) -> None:
    app = front(tmp_path)
    with Session.read(copy_demo(tmp_path)) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot, session)
            assert "and 2 more (F8 lists all)" in one_line(painted(app))
            await pilot.press("f8")
            await pilot.pause()
            assert isinstance(app.screen, StillOpen)
            listed = one_line(" ".join(str(each.render()) for each in app.screen.query(Static)))
            assert "6 of 52 cells are not read yet" in listed
            assert listed.count("flag: ") == 2
            assert "Uncertainty budget, without which type A stands alone" in listed
            await pilot.press("escape")
            await pilot.pause()
            assert isinstance(app.screen, CertificateScreen)


async def test_a_forgotten_serial_is_filled_in_here(tmp_path: Path) -> None:
    app = front(tmp_path)
    plan = replace(header(6), lower=Circle(name="HT-04", tolerance=0.5))
    with certified(tmp_path / "a.toml", plan) as session:
        assert certificate(session, date(2026, 5, 1)).draft == ("not filled in: lower circle: serial number",)
        async with app.run_test(size=(120, 36)) as pilot:
            screen = await opened(pilot, session)
            await put(pilot, "lower-serial", "0417")
            await put(pilot, "lower-tolerance", "much")
            assert screen.query_one("#field-lower-tolerance", Field).wrong
            before = len(session.entries)
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert len(session.entries) == before
            await put(pilot, "lower-tolerance", "0,4")
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert "Recorded." in painted(app)
            assert not screen.changed
        made = certificate(session, date(2026, 5, 1))
        assert made.draft == ()
        assert (session.header.lower.serial, session.header.lower.tolerance) == ("0417", 0.4)
        amended = [entry for entry in session.entries if isinstance(entry, Amend)]
        assert [entry.reason for entry in amended] == [
            "filled in with the certificate",
            "corrected with the certificate",
        ]


async def test_a_date_that_is_none_is_not_recorded(tmp_path: Path) -> None:
    app = front(tmp_path)
    with taken(tmp_path / "a.toml", header(6)) as session:
        before = len(session.entries)
        async with app.run_test(size=(80, 24)) as pilot:
            screen = await opened(pilot, session)
            await put(pilot, "issued", "5 May")
            assert screen.query_one("#field-issued", Field).wrong
            await pilot.press("ctrl+s")
            await pilot.pause()
            assert len(session.entries) == before
            await pilot.press("escape")
            await pilot.pause()
            assert isinstance(app.screen, Confirm)
            await pilot.press("l")
            await pilot.pause()
            assert app.screen is not screen


async def test_an_address_of_several_lines_stays_whole(tmp_path: Path) -> None:
    app = front(tmp_path)
    with certified(tmp_path / "a.toml", header(6)) as session:
        assert "\n" in DETAILS.laboratory_address
        async with app.run_test(size=(80, 24)) as pilot:
            screen = await opened(pilot, session)
            assert not screen.changed
            await put(pilot, "number", "FT-2")
            await pilot.press("ctrl+s")
            await pilot.pause()
        said = details_of(session.entries)
        assert (said.number, said.laboratory_address) == ("FT-2", DETAILS.laboratory_address)


async def test_a_draft_says_why(tmp_path: Path) -> None:
    app = front(tmp_path)
    with Session.create(tmp_path / "a.toml", header(6)) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot, session)
            assert "A draft: 42 of 42 cells are not read yet" in painted(app)


async def test_a_single_closure_has_one_item(tmp_path: Path) -> None:
    app = front(tmp_path)
    plan = header(6, closure="single", reading="interval", offsets=(0, 0))
    with taken(tmp_path / "a.toml", plan) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            screen = await opened(pilot, session)
            assert not screen.query("#field-items")
            assert not screen.changed
            await put(pilot, "number", "FT-3")
            await pilot.press("ctrl+s")
            await pilot.pause()
        assert details_of(session.entries).number == "FT-3"


async def test_the_items_are_called_what_they_are(tmp_path: Path) -> None:
    app = front(tmp_path)
    plan = replace(header(6), upper=Circle(kind="polygon"))
    with Session.create(tmp_path / "a.toml", plan) as session:
        async with app.run_test(size=(120, 36)) as pilot:
            await opened(pilot, session)
            seen = painted(app)
            assert "table alone" in seen
            assert "polygon alone" in seen
            assert "lower" not in seen


async def test_plain_ascii(tmp_path: Path) -> None:
    app = front(tmp_path, ascii_only=True)
    with certified(tmp_path / "a.toml", header(6)) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            await opened(pilot, session)
            assert painted(app).isascii()


async def test_what_lasts_is_filled_in_from_the_newest_certificate_beside_it(tmp_path: Path) -> None:
    app = front(tmp_path)
    certified(tmp_path / "last-year.toml", header(6)).close()
    (tmp_path / "broken.toml").write_text("no session", encoding="utf-8")
    with taken(tmp_path / "a.toml", header(6)) as session:
        async with app.run_test(size=(120, 36)) as pilot:
            screen = await opened(pilot, session)
            await put(pilot, "place", "field station")
            await pilot.press("f7")
            await settled(pilot)
            assert "fields filled in from last-year.toml: look through, then record." in painted(app)
            values = screen.values
            assert values["laboratory"] == DETAILS.laboratory
            assert values["authorised_by"] == DETAILS.authorised_by
            # What was typed stays, and what belongs to one item or one day is not taken over.
            assert values["place"] == "field station"
            assert not {"number", "customer", "condition", "issued"} & values.keys()
            assert screen.changed
            await pilot.press("ctrl+s")
            await pilot.pause()
        assert details_of(session.entries).laboratory == DETAILS.laboratory


async def test_where_there_is_no_earlier_certificate_that_is_said(tmp_path: Path) -> None:
    app = front(tmp_path)
    with taken(tmp_path / "a.toml", header(6)) as session:
        async with app.run_test(size=(120, 36)) as pilot:
            await opened(pilot, session)
            await pilot.press("f7")
            await settled(pilot)
            assert "No other session in this folder" in painted(app)


async def test_readings_typed_right_after_it_was_opened_stand_in_no_field(tmp_path: Path) -> None:
    app = front(tmp_path)
    with taken(tmp_path / "a.toml", header(6)) as session:
        async with app.run_test(size=(80, 24)) as pilot:
            screen = await opened(pilot, session)
            assert NO_FIELD in painted(app)
            send(pilot, "3.52\n-3.51\n")
            await settled(pilot)
            assert f"! {NO_FIELD}" in painted(app)
            assert not screen.unsaved
            await pilot.press("down")
            await pilot.pause()
            assert NO_FIELD not in painted(app)
            await pilot.press("7", "enter", "8")
            await pilot.pause()
            assert (screen.values["number"], screen.values["issued"]) == ("7", "8")
