"""What fails first: every scenario is that of a book in which the one thing is otherwise, by the whole calculation."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from builders import computed, pile

from sheetengine.design.robustness import SCENARIOS, robustness
from sheetengine.design.stages import PLACING

JOB = {"Foundation strength": (30.0, "MPa"), "Storm wind": (0.5, "kPa")}
LIFTS: dict[str, Any] = {"Height": 2.2, "Anchor_spacing": 1.0, "Air_temperature": 12.0, "Air_swing": 4.0}
BOOK: dict[str, Any] = {
    "units": [
        {
            "Foot depth": 2.8,
            "Strongback moment": 60.0,
            "Hinge height": 0.2,
            "Brace height": 1.8,
            "Brace foot offset": 1.2,
        }
    ],
    "anchors": [{"Embedment": 400.0, "Shank diameter": 40.0, "Head diameter": 120.0, "Net area": 1000.0}],
}


def lifts(**changes: Any) -> list[dict[str, Any]]:
    return pile(3, strip=1.5, hang=2.0, interval=5.0, **(LIFTS | changes))


def plain(job: dict[str, Any] | None = None, **changes: Any) -> Any:
    given: dict[str, Any] = {"lifts": lifts()} | BOOK | changes
    return computed(job=JOB | (job or {}), **given)


def worst_of(c: Any, lift: int) -> float:
    """Return the greatest ratio of a lift, from the columns of the calculation."""
    rows = c.cases.lift == lift
    gates = c.gates.lift == lift
    use = np.where(np.isnan(c.gates.planned), np.nan, c.gates.required / c.gates.predicted)[gates]
    return float(
        np.nanmax([c.pressure.panel_ratio[lift], c.strongbacks.ratio[lift], *c.demand.ratio[rows], *use])
    )


def column(c: Any, name: str) -> list[float]:
    return robustness(c).ratio[:, SCENARIOS.index(name)].tolist()


def test_as_planned() -> None:
    c = plain()
    assert column(c, "As planned") == pytest.approx([worst_of(c, lift) for lift in range(3)])


@pytest.mark.parametrize("step", [5.0, 8.0])
def test_colder_is_the_book_with_colder_concrete_and_air(step: float) -> None:
    c = plain({"Colder tried": (step, "K")})
    cold = plain(lifts=lifts(Concrete_temperature=15.0 - step, Air_temperature=12.0 - step))
    assert column(c, "Colder") == pytest.approx([worst_of(cold, lift) for lift in range(3)])
    assert column(c, "Colder")[2] > column(c, "As planned")[2]


def test_full_head_is_the_book_whose_set_is_denied() -> None:
    c = plain()
    fluid = plain(mixes=[{"Set confirmed": "no"}])
    assert column(c, "Full head") == pytest.approx([worst_of(fluid, lift) for lift in range(3)])


def test_faster_is_the_book_at_the_faster_rate() -> None:
    """Panel, strongbacks and the anchors of the foundation feel the pressure alone; other hours shift with the rate, which is left out."""
    c = plain({"Faster rise tried": (60.0, "%")})
    fast = plain(lifts=lifts(Rise_rate=1.6))
    rows = (fast.cases.lift == 0) & (fast.cases.stage == PLACING)
    wanted = max(
        fast.pressure.panel_ratio[0], fast.strongbacks.ratio[0], float(np.max(fast.demand.ratio[rows]))
    )
    planned = c.cases.lift == 0
    gates = c.gates.lift == 0
    rest = np.nanmax(
        [
            *c.demand.ratio[planned & (c.cases.stage != PLACING)],
            *(c.gates.required / c.gates.predicted)[gates & ~np.isnan(c.gates.planned)],
        ]
    )
    # the gate Place next of lift 0 asks what the faster placing of lift 1 asks
    assert column(c, "Faster rise")[0] >= max(wanted, rest) - 1e-9
    upper = plain(lifts=[*lifts()[:1], *lifts(Rise_rate=1.6)[1:]])
    top = (upper.cases.lift == 2) & (upper.cases.stage == PLACING)
    assert column(c, "Faster rise")[2] >= float(np.max(upper.demand.ratio[top])) - 2e-2


def test_weaker_concrete_by_hand() -> None:
    """A cone grows with the root of the strength: at 64 % of it the ratio is 1/0.8 times as much; a gate asks 1/0.64 times."""
    c = plain({"Weaker concrete tried": (36.0, "%")})
    found = robustness(c)
    place = SCENARIOS.index("Weaker concrete")
    for lift in range(3):
        rows = c.cases.lift == lift
        cone = max(
            float(ratio)
            for ratio, mode in zip(c.demand.ratio[rows], c.demand.governing[rows], strict=True)
            if mode == "Concrete cone"
        )
        gates = (c.gates.lift == lift) & ~np.isnan(c.gates.planned)
        use = float(np.nanmax((c.gates.required / c.gates.predicted)[gates], initial=0.0))
        assert found.ratio[lift, place] == pytest.approx(
            max(cone / 0.8, use / 0.64, float(c.pressure.panel_ratio[lift]), float(c.strongbacks.ratio[lift]))
        )


def test_one_anchor_lost_is_the_worst_of_the_books_that_list_the_others() -> None:
    c = plain()
    count = int(c.layout.anchors[1])
    places = np.linspace(0.5, 14.5, count)
    worst = 0.0
    for out in (0, 1, (count - 1) // 2, count - 2, count - 1):
        rows = [
            {"Block": "B1", "Lift": 2, "Position": float(place)}
            for number, place in enumerate(places)
            if number != out
        ]
        less = plain(optional={"Anchor positions": rows})
        own = (less.cases.lift == 1) & (less.cases.holder == 1)
        worst = max(worst, float(np.max(less.demand.ratio[own])))
    found = robustness(c)
    place = SCENARIOS.index("One anchor lost")
    # row of lift 2: its own stages hang from the anchors listed; what hangs on lift 2 is another row
    mine = (c.cases.lift == 1) & (c.cases.holder == 1)
    assert worst > float(np.max(c.demand.ratio[mine])) * 1.2
    assert found.ratio[1, place] >= worst - 1e-9
    if str(found.first[1, place]).startswith("Anchors, Placing"):
        assert found.ratio[1, place] == pytest.approx(worst)


def test_a_single_anchor_cannot_be_lost() -> None:
    c = plain(
        lifts=lifts(Face_length=2.0, Anchor_spacing=2.0),
        units=[BOOK["units"][0] | {"Width": 2.0, "Anchors per unit": 1}],
    )
    assert column(c, "One anchor lost")[1] == np.inf
    assert "no anchor left" in str(robustness(c).first[1, SCENARIOS.index("One anchor lost")])


def test_nothing_made_worse_looks_better() -> None:
    c = plain()
    found = robustness(c).ratio
    for name in ("One anchor lost", "Faster rise", "Weaker concrete", "Full head"):
        assert (found[:, SCENARIOS.index(name)] >= found[:, 0] - 1e-12).all(), name


def test_where_nothing_is_known_nothing_is_said_to_hold() -> None:
    c = computed(
        lifts=pile(1, Face_inclination=60.0, Stripped=None, Hung=None), units=[{"Permissible pressure": None}]
    )
    found = robustness(c)
    unknown = np.isnan(found.ratio)
    assert (found.first[unknown] == "nothing is known").all()
