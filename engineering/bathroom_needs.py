"""What to check about a product that stands in or near a bathroom zone.

Requirements of BS 7671:2018 section 701 as public texts quote them. Every answer is a list of
prompts for a qualified electrician and is never empty: nothing here clears a product for a zone.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from engineering import refusal
from engineering.bathroom import SECTION_701, SOCKET_FROM_ZONE_1_M, SOCKET_SOURCE, Zone
from engineering.ingress import ip_meets
from engineering.published import Certainty, Source, wiring_rules

ZONE_0_AC_V = 12.0
ZONE_0_DC_V = 30.0
ZONE_0_DC_SOURCE = wiring_rules(place="section 701", certainty=Certainty.MEMORY)


class Supply(StrEnum):
    """What a product is fed with where it stands."""

    MAINS = "mains"
    SEPARATED_AC = "selv-ac"
    SEPARATED_DC = "selv-dc"


class Product(StrEnum):
    """What the product is, as far as section 701 tells products apart."""

    LUMINAIRE = "luminaire"
    SWITCH = "switch"
    PULL_CORD = "pull-cord"
    SOCKET = "socket"
    POWER_SOURCE = "extra-low-voltage-source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Prompt:
    """One thing to check: a code, the values that belong to it, and the source."""

    code: str
    values: Mapping[str, str | float]
    source: Source


NEEDED_IP: Mapping[Zone, str | None] = MappingProxyType(
    {"0": "IPX7", "1": "IPX4", "2": "IPX4", "outside": None}
)
"""The IP code that each zone needs where no water jets are used for cleaning."""


def needed_ip(*, zone: Zone, has_jets: bool = False) -> str | None:
    """Return the IP code that a zone needs, or None outside the zones.

    Parameters: zone; has_jets, whether water jets are likely, as for cleaning: then X5 is needed
    in zones 1 and 2, and X7 with X5 together in zone 0.

    >>> needed_ip(zone="1"), needed_ip(zone="0", has_jets=True)
    ('IPX4', 'IPX5/IPX7')
    """
    if zone not in NEEDED_IP:
        raise ValueError(f"zone must be one of {tuple(NEEDED_IP)}, got {zone!r}")
    plain = NEEDED_IP[zone]
    if not has_jets or plain is None:
        return plain
    return "IPX5/IPX7" if zone == "0" else "IPX5"


def check(
    *,
    zone: Zone,
    product: Product,
    supply: Supply,
    supply_v: float,
    ip: str | None,
    has_jets: bool = False,
    from_zone_1_m: float | None = None,
) -> tuple[Prompt, ...]:
    """Return what to check about a product in a zone; the first prompts are what stands against it.

    Parameters: zone, as `bathroom.zone` gives it; product; supply; supply_v [V], above 0; ip, its
    IP code, or None where it is not known; has_jets as `needed_ip`; from_zone_1_m [m], distance of a
    socket from zone 1, or None where it is not known.
    Returns: prompts, the last of which is always 'verify-on-site'; 'rcd-30-ma' always stands too.
    Raises: ValueError for a wrong zone, voltage, distance or IP code.

    >>> [prompt.code for prompt in check(zone="1", product=Product.LUMINAIRE,
    ...     supply=Supply.MAINS, supply_v=230, ip="IP44")]
    ['rcd-30-ma', 'verify-on-site']
    """
    refusal.above_zero("supply_v", supply_v)
    prompts = [
        *_ip_prompts(needs=needed_ip(zone=zone, has_jets=has_jets), zone=zone, ip=ip),
        *_voltage_prompts(zone=zone, supply=Supply(supply), supply_v=supply_v),
        *_place_prompts(zone=zone, product=Product(product)),
    ]
    if Product(product) is Product.SOCKET:
        prompts += _socket_prompts(from_zone_1_m)
    prompts.append(_prompt("rcd-30-ma", milliamps=30.0))
    prompts.append(_prompt("verify-on-site", zone=zone))
    return tuple(prompts)


def _prompt(code: str, source: Source = SECTION_701, **values: str | float) -> Prompt:
    return Prompt(code=code, values=values, source=source)


def _ip_prompts(*, needs: str | None, zone: Zone, ip: str | None) -> list[Prompt]:
    if needs is None:
        return []
    if ip is None:
        return [_prompt("ip-not-known", zone=zone, needs=needs)]
    if not ip_meets(code=ip, needs=needs):
        return [_prompt("ip-too-low", zone=zone, ip=ip, needs=needs)]
    return []


def _voltage_prompts(*, zone: Zone, supply: Supply, supply_v: float) -> list[Prompt]:
    if zone != "0":
        return []
    if supply is Supply.MAINS:
        return [_prompt("zone-0-needs-separated-extra-low-voltage", supply_v=supply_v)]
    is_ac = supply is Supply.SEPARATED_AC
    limit_v = ZONE_0_AC_V if is_ac else ZONE_0_DC_V
    if supply_v <= limit_v:
        return []
    source = SECTION_701 if is_ac else ZONE_0_DC_SOURCE
    return [_prompt("zone-0-voltage-too-high", source, supply_v=supply_v, limit_v=limit_v)]


_NOT_IN_ZONES = MappingProxyType(
    {
        Product.SWITCH: "switch-in-zone",
        Product.SOCKET: "socket-in-zone",
        Product.POWER_SOURCE: "power-source-in-zone",
    }
)


def _place_prompts(*, zone: Zone, product: Product) -> list[Prompt]:
    if zone != "outside" and product in _NOT_IN_ZONES:
        return [_prompt(_NOT_IN_ZONES[product], zone=zone)]
    return []


def _socket_prompts(from_zone_1_m: float | None) -> list[Prompt]:
    least = SOCKET_FROM_ZONE_1_M
    if from_zone_1_m is None:
        return [_prompt("socket-distance-not-known", SOCKET_SOURCE, least_m=least)]
    if refusal.not_negative("from_zone_1_m", from_zone_1_m) < least:
        values = {"distance_m": from_zone_1_m, "least_m": least}
        return [_prompt("socket-too-near", SOCKET_SOURCE, **values)]
    return []
