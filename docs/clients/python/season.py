r"""A season in Python, with a client that openapi-python-client makes from the OpenAPI document.

    pip install openapi-python-client httpx attrs python-dateutil
    openapi-python-client generate --path openapi.json --meta none --config generator.yaml \
        --output-path barrowful_client
    python season.py http://127.0.0.1:8080

The address of the service is the only argument. `generator.yaml` is beside this file.
"""

import datetime
import sys
from typing import TypeVar

from barrowful_client import Client
from barrowful_client.api.applications import calculate_applications
from barrowful_client.api.seasons import plan_season
from barrowful_client.api.worm_beds import size_worm_bed
from barrowful_client.models import (
    ApplicationRequest,
    ApplicationsRequest,
    AreaRequest,
    DemandRequest,
    DepthRate,
    FeedToSizeRequest,
    Problem,
    Quantity,
    Rectangle,
    Rows,
    SeasonsRequest,
    StockRequest,
    WormBedsRequest,
)
from barrowful_client.types import Unset

T = TypeVar("T")
APRIL = datetime.date(2027, 4, 1)


def shown(quantity: Quantity) -> str:
    """Write a number with its unit, and with its range where there is one."""
    text = f"{quantity.value:g} {quantity.unit}"
    if isinstance(quantity.low, Unset) or isinstance(quantity.high, Unset):
        return text
    return f"{text} ({quantity.low:g} to {quantity.high:g})"


def explained(problem: Problem) -> str:
    """List every error of a refusal: where it is, what kind it is, and what to write instead."""
    errors = [] if isinstance(problem.errors, Unset) else problem.errors
    return "\n  ".join([problem.detail, *(f"{error.pointer} {error.code}: {error.detail}" for error in errors)])


def answer(found: T | Problem | None) -> T:
    """Give what was answered, or stop with what is wrong."""
    if found is None or isinstance(found, Problem):
        raise SystemExit(explained(found) if found else "the answer has a status that the document does not list")
    return found


def main() -> None:
    """Ask three questions, each with what the one before answered, and one that is refused."""
    client = Client(base_url=sys.argv[1])

    # 1. How large a bed do the kitchen scraps of a week need?
    bed = WormBedsRequest(
        start_on=APRIL,
        climate="20 C",
        feed_supply=FeedToSizeRequest(material="kitchen_scraps", each_week="7 kg"),
        worms="0.5 kg",
    )
    sized = answer(size_worm_bed.sync(client=client, body=bed))
    print(f"the bed: {shown(sized.ground.bed)}")

    # 2. The bed from that answer is sent on as it is: will its castings serve the garden?
    carrots = ApplicationRequest(
        surface=Rows(kind="rows", count=4, length="6 m", band_width="20 cm"),
        rate=DepthRate(kind="depth", amount="1 cm"),
    )
    plan = SeasonsRequest(
        until=datetime.date(2028, 4, 30),
        worm_beds=[sized.worm_bed.seasons],
        stock=[StockRequest(name="cured bin", amount="20 L", ready_on=datetime.date(2027, 3, 1))],
        demands=[
            DemandRequest(name="carrot rows", application=carrots, on=datetime.date(2027, 4, 5)),
            DemandRequest(
                name="tomatoes",
                amount="6 L",
                earliest=datetime.date(2027, 5, 15),
                latest=datetime.date(2027, 6, 1),
            ),
        ],
    )
    season = answer(plan_season.sync(client=client, body=plan))
    print(season.headline)
    for demand in season.demands:
        print(f"{demand.name}: {shown(demand.allocated)} of {shown(demand.needed)}")

    # 3. So do quantities and rates: what does the rate that the carrots got make on another bed?
    first = season.demands[0]
    areas = ApplicationsRequest(
        areas=[
            AreaRequest(
                name="salad bed",
                surface=Rectangle(kind="rectangle", length="2.4 m", width="1.2 m"),
                rate=first.rate_allocated,
            ),
            AreaRequest(
                name="the rest of the carrots",
                surface=Rows(kind="rows", length="24 m", band_width="20 cm"),
                castings=first.shortfall,
            ),
        ]
    )
    for area in answer(calculate_applications.sync(client=client, body=areas)).areas:
        print(f"{area.name}: {shown(area.castings.volume)}")

    # 4. A request with an error: a length has lost its unit.
    surface = Rectangle(kind="rectangle", length="2.4", width="1.2 m")
    wrong = ApplicationsRequest(areas=[AreaRequest(surface=surface, rate=DepthRate(kind="depth", amount="2 cm"))])
    refused = calculate_applications.sync(client=client, body=wrong)
    if not isinstance(refused, Problem):
        raise SystemExit("a length without a unit was accepted")
    print(f"refused: {explained(refused)}")


if __name__ == "__main__":
    main()
