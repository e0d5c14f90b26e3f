"""What the setup worksheets say of readings whose answer is known."""

from __future__ import annotations

from dataclasses import replace
from math import asin, cos, pi, radians
from pathlib import Path

import numpy as np
import pytest

from sessions.entries import Setup
from sessions.equipment import Circle
from sessions.header import Header
from sessions.session import Session
from sessions.worksheets import WORKSHEETS
from sessions.worksheets.centring import CENTRING
from sessions.worksheets.cleaning import CLEANING
from sessions.worksheets.distance import DISTANCE
from sessions.worksheets.facing import FACING
from sessions.worksheets.filling import Filling
from sessions.worksheets.levelling import LEVELLING
from sessions.worksheets.lever import LEVER
from sessions.worksheets.reseating import RESEATING
from sessions.worksheets.sheet import Verdict, Worksheet, judge
from sessions.worksheets.standing import latest_result, standings
from sessions.worksheets.warming import WARMING
from solver.refused import Refused
from tests.sessions.kit import Clock, QuickDisk, example_header

PUBLISHED = Path(__file__).parents[1] / "published"
ARCSEC = 180 * 3600 / pi


def filled(worksheet: Worksheet, *texts: object, header: Header | None = None) -> Filling:
    filling = Filling(worksheet, header or example_header())
    for text in texts:
        filling.enter(str(text))
    assert filling.complete
    return filling


def in_urad(header: Header) -> Header:
    return replace(header, instrument=replace(header.instrument, unit="urad"))


def sine(amplitude: float, direction: float, count: int) -> list[float]:
    return [round(amplitude * cos(radians(360 * i / count - direction)), 6) for i in range(count)]


@pytest.mark.parametrize(
    ("value", "expanded", "verdict"),
    [
        (1, 0, "PASSES"),
        (1, 0.5, "OPEN"),
        (0.5, 0.5, "PASSES"),
        (1.01, 0, "FAILS"),
        (0.1, float("nan"), "OPEN"),
    ],
)
def test_verdicts(value: float, expanded: float, verdict: str) -> None:
    assert judge(value, expanded, 1.0).name == verdict


def test_every_worksheet_is_declared_in_full() -> None:
    assert len(WORKSHEETS) == len({worksheet.name for worksheet in WORKSHEETS}) == 8
    for worksheet in WORKSHEETS:
        assert 1 <= len(worksheet.steps) <= 4
        assert "ocal rules" in worksheet.caution
        assert "makers' instructions" in worksheet.caution
        assert worksheet.title
        assert worksheet.purpose


def test_cautions_stand_where_the_work_can_hurt() -> None:
    said = {
        "mains": (LEVELLING, LEVER, WARMING),
        "laser": (FACING, LEVER, DISTANCE, WARMING),
        "with help": (CLEANING, RESEATING),
        "out of the gap": (CLEANING, CENTRING, FACING, RESEATING),
        "engaged except when stepping": (LEVELLING, CENTRING, RESEATING),
    }
    for words, worksheets in said.items():
        for worksheet in worksheets:
            assert words in worksheet.caution, worksheet.name


def test_cleaning_passes_only_if_all_is_done() -> None:
    assert filled(CLEANING, 1, 1, 1, 1, 1, 1).outcome.verdict is Verdict.PASSES
    undone = filled(CLEANING, 1, 0, 1, 1, 0, 1)
    assert undone.outcome.verdict is Verdict.FAILS
    assert undone.result["points_open"] == 2
    assert "seating faces" in undone.result["found"]


def test_levelling_finds_tilt_and_low_side() -> None:
    filling = filled(LEVELLING, "", 8, 20, *sine(60, 70, 8))
    assert filling.result["tilt_arcsec"] == pytest.approx(60, abs=1e-5)
    assert filling.result["high_towards_deg"] == pytest.approx(70, abs=1e-5)
    # 60″ rise 290.9 µm over a metre; 60″ squared, over 4, is 0.00436″ (recomputed).
    assert filling.result["effect_on_angle_arcsec"] == pytest.approx(0.00436, abs=1e-5)
    assert filling.outcome.verdict is Verdict.FAILS
    assert "Raise the side at 250° by 291 µm" in filling.outcome.todo


def test_levelling_in_slopes() -> None:
    """1 µm/m is 0.2063″ (definition of the radian; recomputed)."""
    filling = filled(LEVELLING, 2, 4, "", 100, 0, -100, 0)
    assert filling.result["tilt_arcsec"] == pytest.approx(20.6265, abs=1e-4)
    assert filling.result["level_um_per_m"] == [100, 0, -100, 0]


def test_levelling_limit_is_proposed_by_its_effect() -> None:
    """2 root(0.025″ · 206264.8″) = 143.6″ for a tenth of the tolerance of 0.25″, rounded down (recomputed)."""
    assert filled(LEVELLING, "", 4, "", 0, 0, 0, 0).result["limit_arcsec"] == 140


def test_noisy_levelling_within_the_limit_is_not_decided() -> None:
    filling = filled(LEVELLING, "", 4, 10, 7, 3, -7, 1)
    assert filling.result["tilt_arcsec"] < 10
    assert filling.outcome.verdict is Verdict.OPEN


def test_centring_finds_eccentricity_and_where_to_tap() -> None:
    filling = filled(CENTRING, 1, 100, 12, 2, *sine(10, 210, 12))
    result = filling.result
    assert result["eccentricity_um"] == pytest.approx(10, abs=1e-5)
    assert result["indicator_total_um"] == pytest.approx(20, abs=1e-5)
    assert result["off_towards_deg"] == pytest.approx(210, abs=1e-4)
    # 412.53 e/D (read as 412.5 in encoder makers' documents).
    assert result["effect_on_angle_arcsec"] == pytest.approx(41.253, abs=1e-3)
    assert "210° of the lower stands at the indicator" in filling.outcome.todo
    assert "falls by 10.0 µm" in filling.outcome.todo


def test_centring_of_the_published_twelve_points() -> None:
    """harmonic_12pt.csv (read); first harmonic and what is left of it recomputed with numpy.fft."""
    value = np.loadtxt(PUBLISHED / "harmonic_12pt.csv", delimiter=",", skiprows=1)[:, 1]
    filling = Filling(CENTRING, example_header())
    for text in ("1", "200", "12", "5"):
        filling.enter(text)
    filling.paste("\n".join(str(each) for each in value))
    spectrum = np.fft.rfft(value)
    spectrum[:2] = 0
    left = np.fft.irfft(spectrum, 12)
    assert filling.result["eccentricity_um"] == pytest.approx(abs(np.fft.rfft(value)[1]) / 6)
    assert filling.result["out_of_roundness_um"] == pytest.approx(np.ptp(left))
    assert filling.result["residual_standard_deviation_um"] == pytest.approx(np.sqrt(left @ left / 9))


@pytest.mark.parametrize("count", range(4, 25))
def test_centring_at_every_number_of_angles(count: int) -> None:
    filling = filled(CENTRING, 1, 150, count, 5, *sine(3, 33, count))
    assert filling.result["eccentricity_um"] == pytest.approx(3, abs=1e-5)
    assert filling.result["angle_deg"] == pytest.approx([360 * i / count for i in range(count)])
    assert filling.outcome.verdict is Verdict.PASSES


def test_centring_tolerance_of_an_encoder_follows_its_diameter() -> None:
    """A circle that is read at one place: e = 0.025″ · D / 412.53 (recomputed)."""
    header = replace(example_header(), upper=Circle("encoder", tolerance=0.25))
    result = filled(CENTRING, "", 330, 4, "", 0, 0, 0, 0, header=header).result
    assert result["read_by"] == 1
    assert result["limit_um"] == pytest.approx(0.025 * 330 / 412.53, rel=0.1)
    assert result["limit_um"] <= 0.025 * 330 / 412.53


def test_facing_spread_against_its_limit() -> None:
    good = filled(FACING, 1, 10, 4, 5, 1.0, 2.5, 4.0, 2.5)
    assert good.outcome.verdict is Verdict.PASSES
    assert good.result["spread_arcsec"] == pytest.approx(3)
    # 10′ of roll: 3″ · sin 10′ = 0.0087″ (recomputed).
    assert good.result["effect_on_angle_arcsec"] == pytest.approx(3 * np.sin(np.radians(1 / 6)))
    assert good.result["between_axes_arcsec"] == pytest.approx(1.5)
    assert filled(FACING, 1, 10, 4, 2.9, 1.0, 2.5, 4.0, 2.5).outcome.verdict is Verdict.FAILS


def test_facing_needs_the_height_too() -> None:
    assert filled(FACING, 0, 10, 2, 5, 1.0, 1.0).outcome.verdict is Verdict.FAILS


def lever_texts(polarity: int, way: int, scale: float = 1.0) -> list[object]:
    reading = polarity * asin(0.1 / 250) * ARCSEC / scale
    pairs = [0.0, reading + 0.02, 0.01, reading - 0.01, 0.0, reading]
    return [250, 0.01, 0.1, "0.00005", way, 3, 1, *(f"{value:.4f}" for value in pairs)]


def test_lever_passes_a_good_instrument() -> None:
    filling = filled(LEVER, *lever_texts(1, 1))
    assert filling.outcome.verdict is Verdict.PASSES
    assert filling.result["polarity"] == 1
    assert filling.result["scale"] == pytest.approx(1, abs=2e-4)
    assert filling.outcome.proposals == ()


@pytest.mark.parametrize(("reads", "way"), [(1, 2), (-1, 1)])
def test_lever_offers_the_other_polarity(reads: int, way: int) -> None:
    filling = filled(LEVER, *lever_texts(reads, way))
    assert filling.result["polarity"] == -1
    assert [proposal.amendments for proposal in filling.outcome.proposals] == [(("instrument.polarity", -1),)]


def test_lever_lifted_the_other_way_with_falling_readings_is_the_same_polarity() -> None:
    assert filled(LEVER, *lever_texts(-1, 2)).result["polarity"] == 1


def test_lever_finds_a_wrong_scale() -> None:
    filling = filled(LEVER, *lever_texts(1, 1, scale=1.05))
    assert filling.outcome.verdict is Verdict.FAILS
    assert filling.result["scale"] == pytest.approx(1.05, abs=3e-4)


def test_lever_that_does_not_move_the_reading() -> None:
    filling = filled(LEVER, 250, "", 0.1, "", 1, 2, "", 0.5, 0.5, 0.5, 0.5)
    assert filling.outcome.verdict is Verdict.FAILS
    assert "polarity" not in filling.result
    assert "scale" not in filling.result
    assert filling.outcome.proposals == ()


def test_one_lift_without_a_resolution_decides_nothing() -> None:
    header = example_header()
    header = replace(header, instrument=replace(header.instrument, resolution=None))
    filling = filled(LEVER, 250, "", 0.1, "", 1, 1, "", 0.0, 82.5, header=header)
    assert filling.outcome.verdict is Verdict.OPEN
    assert filling.outcome.proposals == ()


def test_lever_shorter_than_its_block_is_refused_when_complete() -> None:
    filling = filled(LEVER, 5, "", 6, "", 1, 1, "", 0, 1)
    with pytest.raises(Refused, match="cannot lift"):
        _ = filling.outcome


def test_lever_in_microradians_has_the_same_scale() -> None:
    texts = lever_texts(1, 1)
    readings = [f"{float(str(value)) / 0.206264806247:.4f}" for value in texts[7:]]
    filling = filled(LEVER, *texts[:7], *readings, header=in_urad(example_header()))
    assert filling.result["scale"] == pytest.approx(1, abs=2e-4)
    assert "reading_urad" in filling.result


def test_usable_range_is_the_smaller_one() -> None:
    filling = filled(DISTANCE, 40, "", 30, 800, "", 100)
    assert filling.result["usable_range_arcsec"] == 150
    # 5 mm of free displacement at 800 mm: half of atan(5/800) (plane geometry; recomputed).
    assert filling.result["range_without_loss_arcsec"] == pytest.approx(np.arctan(5 / 800) / 2 * ARCSEC)
    assert filling.outcome.verdict is Verdict.PASSES
    assert filling.outcome.proposals == ()


def test_usable_range_beyond_the_distance_is_offered() -> None:
    filling = filled(DISTANCE, 30, "", 30, 20000, "", 100)
    assert filling.outcome.verdict is Verdict.FAILS
    [proposal] = filling.outcome.proposals
    [(field, value)] = proposal.amendments
    assert field == "instrument.range"
    assert value == pytest.approx(filling.result["usable_range_arcsec"], rel=0.01)
    assert value <= filling.result["usable_range_arcsec"]


def test_warm_up_passes_when_drift_and_its_uncertainty_are_small() -> None:
    """Slope, its standard error and Student's t recomputed here from their formulas."""
    minute = np.arange(15.0)
    read = np.round(2 + 0.0005 * minute + 0.002 * np.cos(minute), 4)
    filling = filled(WARMING, "", 20, 15, 0.05, *read)
    slope, level = np.polyfit(minute, read, 1)
    s = np.sqrt(np.sum((read - level - slope * minute) ** 2) / 13)
    u = s / np.sqrt(np.sum((minute - 7) ** 2))
    assert filling.result["slope_arcsec_per_min"] == pytest.approx(slope)
    assert filling.result["slope_standard_uncertainty_arcsec_per_min"] == pytest.approx(u)
    # t for 95.45 % and 13 degrees of freedom: 2.21 (GUM table G.2, read).
    assert filling.result["drift_expanded_uncertainty_arcsec"] == pytest.approx(2.21 * 20 * u, rel=2e-3)
    assert filling.outcome.verdict is Verdict.PASSES


def test_warm_up_looks_at_the_latest_readings_only() -> None:
    warming = [5, 4, 3.2, 2.6, 2.2, 1.9, 1.7]
    steady = [1.0, 1.001, 1.0, 1.0, 0.999, 1.0]
    filling = filled(WARMING, "", 10, 6, 0.05, *warming, *steady)
    assert filling.outcome.verdict is Verdict.PASSES
    assert filling.result["readings_judged"] == 6
    assert filled(WARMING, "", 10, 13, 0.05, *warming, *steady).outcome.verdict is Verdict.FAILS


def test_warm_up_is_not_decided_by_noisy_readings() -> None:
    filling = filled(WARMING, "", 20, 15, 0.05, 1.0, 1.2, 0.9, 1.1, 1.0)
    assert filling.outcome.verdict in (Verdict.OPEN, Verdict.FAILS)
    quiet = filled(WARMING, "", 20, 15, 2, 1.0, 1.2, 0.9, 1.1, 1.0)
    assert quiet.outcome.verdict is Verdict.OPEN


READ = [1.0, 1.05, 0.97, 1.02, 0.94, 1.01, 1.08, 1.0, 0.99, 1.03]


def test_reseating_gives_an_accepted_standard_deviation() -> None:
    filling = filled(RESEATING, 10, 0.2, *READ)
    deviation = np.std(READ, ddof=1)
    assert filling.result["standard_deviation_arcsec"] == pytest.approx(deviation)
    assert filling.outcome.verdict is Verdict.PASSES
    [proposal] = filling.outcome.proposals
    assert dict(proposal.amendments) == {
        "instrument.accepted_sd": pytest.approx(deviation, rel=1e-3),
        "instrument.accepted_sd_dof": 9,
    }


def test_reseating_that_does_not_repeat_offers_nothing() -> None:
    filling = filled(RESEATING, 10, 0.01, *READ)
    assert filling.outcome.verdict is Verdict.FAILS
    assert filling.outcome.proposals == ()


def test_few_lifts_do_not_prove_it() -> None:
    assert filled(RESEATING, 3, 0.05, 1.0, 1.04, 1.02).outcome.verdict is Verdict.OPEN


def test_reseating_limit_lets_the_plan_decide() -> None:
    """U = k · s · root 0.4543 for {0, 1, 4} of 12 (design document, section 2) may take a third of the tolerance."""
    limit = filled(RESEATING, 3, "", 1, 1.01, 1.02).result["limit_arcsec"]
    # 39 cells with closing readings leave 39 - 25 = 14 degrees of freedom, t 95.45 % = 2.20 (GUM table G.2, read).
    expected = 0.25 / 3 / (2.20 * np.sqrt(0.4543))
    assert limit == pytest.approx(expected, rel=0.02)


def test_reseating_finer_than_the_resolution_offers_what_the_resolution_leaves() -> None:
    """0.01″ leaves 0.01/root 12 (JCGM 100, F.2.2.1)."""
    filling = filled(RESEATING, 5, 0.1, 1.0, 1.0, 1.0, 1.0, 1.0)
    [proposal] = filling.outcome.proposals
    assert proposal.amendments[0][1] == pytest.approx(0.01 / np.sqrt(12), rel=1e-3)


def test_creeping_lifts_are_pointed_out() -> None:
    creeping = [round(1 + 0.05 * i + 0.004 * (-1) ** i, 4) for i in range(10)]
    names = [text for name, text in filled(RESEATING, 10, 1, *creeping).outcome.lines if name == "Look at"]
    assert names == ["the readings creep one way: not warm yet, or wearing in"]
    assert not [name for name, _ in filled(RESEATING, 10, 1, *READ).outcome.lines if name == "Look at"]


def test_a_slip_is_pointed_out() -> None:
    slipped = [*READ[:6], 10.8, *READ[7:]]
    names = [text for name, text in filled(RESEATING, 10, 1, *slipped).outcome.lines if name == "Look at"]
    assert names == ["the reading after lift 7: it does not go with the others"]


@pytest.mark.parametrize("change", ["drift", "loose", "single"])
def test_reseating_with_a_plan_that_has_no_forecast(change: str) -> None:
    header = example_header()
    design = {
        "drift": replace(header.design, drift="linear"),
        "loose": replace(header.design, offsets=(0, 6)),
        "single": replace(header.design, closure="single", reading="interval", offsets=(0, 0)),
    }[change]
    filling = filled(RESEATING, 10, "", *READ, header=replace(header, design=design))
    assert filling.result["limit_arcsec"] > 0


COMPLETE: dict[str, list[object]] = {
    "cleaning and seating": [1] * 6,
    "levelling": ["", 4, "", 1, 2, 3, 4],
    "centring": ["", 200, "", "", 4, "", 1, 2, 3, 4],
    "mirror height and facing": [1, "", 2, "", 1, 2],
    "polarity and scale": lever_texts(-1, 1),
    "usable range": [40, "", 30, 800, "", ""],
    "warm-up": ["", "", "", "", 5, 4, 3, 2, 1],
    "seating repeatability": [3, "", 1, 1.01, 1.02],
}


@pytest.mark.parametrize("worksheet", WORKSHEETS, ids=lambda worksheet: worksheet.name)
@pytest.mark.parametrize("unit", ["arcsec", "urad"])
def test_record_comes_back_from_the_file(tmp_path: Path, worksheet: Worksheet, unit: str) -> None:
    header = example_header()
    header = replace(header, instrument=replace(header.instrument, unit=unit))
    path = tmp_path / "setup.toml"
    with Session.create(path, header, clock=Clock(), disk=QuickDisk()) as session:
        filling = filled(worksheet, *COMPLETE[worksheet.name], header=session.header)
        entry = filling.record(session)
        for proposal in filling.outcome.proposals:
            for field, value in proposal.amendments:
                session.amend(field, value, proposal.reason)
    with Session.read(path) as again:
        first = again.entries[0]
        assert isinstance(first, Setup)
        assert first == entry
        assert first.worksheet == worksheet.name
        assert first.result == filling.result
        assert first.result["verdict"] in {"passes", "does not pass", "not decided"}
        assert str(first.result["found"]).endswith(".")
        assert latest_result(again.entries, worksheet) == filling.result
        assert len(again.entries) == 1 + sum(len(each.amendments) for each in filling.outcome.proposals)


def test_units_stand_in_the_keys_of_the_record() -> None:
    units = ("arcsec", "urad", "um", "mm", "deg", "min", "arcmin", "percent", "um_per_m", "per_min")
    free = {"verdict", "found", "scale", "scale_standard_uncertainty", "degrees_of_freedom", "polarity"}
    free |= {
        "effective_degrees_of_freedom",
        "readings_judged",
        "points_open",
        "angles",
        "orientations",
        "lifts",
    }
    free |= {
        "pairs",
        "latest",
        "lift",
        "minute",
        "half_lift",
        "read_by",
        "lift_way",
        "level_unit",
        "height_set",
    }
    free |= {"teeth_clean", "faces_clean", "engages", "mirror_clean", "free", "soaked"}
    for worksheet in WORKSHEETS:
        for key in filled(worksheet, *COMPLETE[worksheet.name]).result:
            assert key in free or key.endswith(units), key


def test_standings_tell_the_latest(tmp_path: Path) -> None:
    with Session.create(tmp_path / "s.toml", example_header(), clock=Clock(), disk=QuickDisk()) as session:
        assert {standing.verdict for standing in standings(session.entries)} == {"not done"}
        filled(CLEANING, 1, 1, 1, 1, 1, 0).record(session)
        session.note("in between")
        filled(CLEANING, 1, 1, 1, 1, 1, 1).record(session)
        session.setup("of another program", {"verdict": "passes"})
        first, *others = standings(session.entries)
        assert (first.verdict, first.times) == ("passes", 2)
        assert first.latest is session.entries[2]
        assert {standing.verdict for standing in others} == {"not done"}
