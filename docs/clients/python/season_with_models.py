r"""A season in Python, with pydantic models that datamodel-code-generator makes from the OpenAPI document.

    pip install datamodel-code-generator "pydantic>=2" httpx
    datamodel-codegen --input openapi.json --input-file-type openapi --output barrowful_models.py \
        --output-model-type pydantic_v2.BaseModel --use-annotated --use-type-alias --enum-field-as-literal all \
        --extra-fields allow
    python season_with_models.py http://127.0.0.1:8080

The models check a request before it is sent. `--extra-fields allow` lets them hold what they do not know: a later
version of the service may answer more. The address of the service is the only argument.
"""

import datetime
import sys

import httpx
from barrowful_models import (
    DemandRequest,
    Problem,
    Quantity,
    SeasonsAnswer,
    SeasonsRequest,
    StockRequest,
    WormBedsAnswer,
    WormBedsRequest,
)
from pydantic import BaseModel


def shown(quantity: Quantity) -> str:
    """Write a number with its unit, and with its range where there is one."""
    text = f"{quantity.value:g} {quantity.unit}"
    return text if quantity.low is None else f"{text} ({quantity.low:g} to {quantity.high:g})"


def ask(service: httpx.Client, question: str, request: BaseModel) -> httpx.Response:
    """Send a request; what it leaves open is left out."""
    body = request.model_dump_json(exclude_none=True, by_alias=True)
    return service.post(f"/v1/{question}", content=body, headers={"content-type": "application/json"})


def main() -> None:
    """Size a bed, send it on to a season, and read a refusal."""
    with httpx.Client(base_url=sys.argv[1], timeout=60) as service:
        scraps = {"material": "kitchen_scraps", "each_week": "7 kg"}
        bed = WormBedsRequest.model_validate(
            {"start_on": "2027-04-01", "climate": "20 C", "feed_supply": scraps, "worms": "0.5 kg"}
        )
        sized = WormBedsAnswer.model_validate_json(ask(service, "worm-beds", bed).raise_for_status().content)
        print(f"the bed: {shown(sized.ground.bed)}")

        plan = SeasonsRequest(
            until=datetime.date(2028, 4, 30),
            worm_beds=[sized.worm_bed.seasons],
            stock=[StockRequest(name="cured bin", amount="20 L", ready_on=datetime.date(2027, 3, 1))],
            demands=[DemandRequest(name="carrot rows", amount="48 L", on=datetime.date(2027, 4, 5))],
        )
        season = SeasonsAnswer.model_validate_json(ask(service, "seasons", plan).raise_for_status().content)
        print(season.headline)

        # What is short may wait until June: the quantity from the answer is sent back as it is.
        short = season.demands[0].shortfall
        plan.demands.append(DemandRequest(name="carrot rows, later", amount=short, earliest=datetime.date(2027, 6, 1)))
        later = SeasonsAnswer.model_validate_json(ask(service, "seasons", plan).raise_for_status().content)
        print(f"later: {shown(later.demands[1].allocated)} of {shown(later.demands[1].needed)}")

        # A request with an error: a demand has a day and a first day.
        day = datetime.date(2027, 6, 1)
        plan.demands = [DemandRequest(amount=short, on=day, earliest=day)]
        problem = Problem.model_validate_json(ask(service, "seasons", plan).content)
        for error in problem.errors or []:
            print(f"refused: {error.pointer} {error.code}: {error.detail}")


if __name__ == "__main__":
    main()
