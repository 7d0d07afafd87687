"""Which mains cable would do: current capacity by how it is laid, derated, and voltage drop.

Figures are those of BS 7671:2018 as public texts quote them, some from memory and marked so. Every
result is to be verified by a qualified electrician against the edition in force.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from engineering import refusal
from engineering.cables import Use, VoltageDrop, drop_limit, voltage_drop
from engineering.published import Certainty, Figure, Source, wiring_rules


class Method(StrEnum):
    """How flat twin and earth is laid: the reference method of Table 4D5."""

    CLIPPED_DIRECT = "C"
    ABOVE_CEILING_THIN_INSULATION = "100"
    ABOVE_CEILING_THICK_INSULATION = "101"
    STUD_WALL_TOUCHING_LINING = "102"
    STUD_WALL_IN_INSULATION = "103"
    CONDUIT_IN_INSULATED_WALL = "A"


CAPACITY_A: Mapping[Method, Mapping[float, float]] = MappingProxyType(
    {
        Method.CLIPPED_DIRECT: MappingProxyType({1.0: 16, 1.5: 20, 2.5: 27, 4.0: 37, 6.0: 47}),
        Method.ABOVE_CEILING_THIN_INSULATION: MappingProxyType(
            {1.0: 13, 1.5: 16, 2.5: 21, 4.0: 27, 6.0: 34}
        ),
        Method.ABOVE_CEILING_THICK_INSULATION: MappingProxyType(
            {1.0: 10.5, 1.5: 13, 2.5: 17, 4.0: 22, 6.0: 27}
        ),
        Method.STUD_WALL_TOUCHING_LINING: MappingProxyType(
            {1.0: 13, 1.5: 16, 2.5: 21, 4.0: 27, 6.0: 35}
        ),
        Method.STUD_WALL_IN_INSULATION: MappingProxyType(
            {1.0: 8, 1.5: 10, 2.5: 13.5, 4.0: 17.5, 6.0: 23.5}
        ),
        Method.CONDUIT_IN_INSULATED_WALL: MappingProxyType(
            {1.0: 11.5, 1.5: 14.5, 2.5: 20, 4.0: 26, 6.0: 32}
        ),
    }
)
"""Current capacity in A of flat twin and earth, by method and size in mm²."""

_FROM_MEMORY = frozenset(
    {
        Method.ABOVE_CEILING_THICK_INSULATION,
        Method.STUD_WALL_TOUCHING_LINING,
        Method.CONDUIT_IN_INSULATED_WALL,
    }
)

AMBIENT: Mapping[float, float] = MappingProxyType({30: 1.0, 35: 0.94, 40: 0.87})
"""Ambient factor Ca by temperature in °C (Table 4B1)."""

GROUPING: Mapping[int, float] = MappingProxyType({1: 1.0, 2: 0.80, 3: 0.70, 4: 0.65, 5: 0.60})
"""Grouping factor Cg by number of circuits bunched together (Table 4C1)."""

INSULATION: Mapping[float, float] = MappingProxyType({0.0: 1.0, 0.1: 0.78, 0.5: 0.5})
"""Factor Ci by metres of cable fully surrounded by thermal insulation (regulation 523.9)."""


def capacity_source(*, method: Method) -> Source:
    """Name where the column of a method comes from, and how sure it is.

    >>> capacity_source(method=Method.CONDUIT_IN_INSULATED_WALL).certainty.value
    'memory'
    """
    sure = Certainty.MEMORY if Method(method) in _FROM_MEMORY else Certainty.QUOTED
    return wiring_rules(place="Appendix 4, Table 4D5", certainty=sure)


def capacity_a(*, size_mm2: float, method: Method) -> Figure:
    """Return the tabulated current capacity of flat twin and earth, in A.

    Parameters: size_mm2 [mm²], 1.0 to 6.0, one the table holds; method.
    Raises: ValueError for a size the table does not hold.

    >>> capacity_a(size_mm2=1.5, method=Method.CLIPPED_DIRECT).value
    20
    """
    column = CAPACITY_A[Method(method)]
    if size_mm2 not in column:
        raise ValueError(f"size_mm2 must be one of {sorted(column)}, got {size_mm2!r}")
    return Figure(value=column[size_mm2], unit="A", source=capacity_source(method=method))


def ambient_factor(*, temperature_c: float) -> Figure:
    """Return Ca for the next tabulated temperature at or above the given one.

    Parameters: temperature_c [°C], at most 40. Cooler than 30 °C counts as 30 °C: no bonus.
    Raises: ValueError above 40 °C, where no figure is held here.

    >>> ambient_factor(temperature_c=33).value
    0.94
    """
    for tabulated in sorted(AMBIENT):
        if temperature_c <= tabulated:
            source = wiring_rules(place="Appendix 4, Table 4B1")
            return Figure(value=AMBIENT[tabulated], unit="share", source=source)
    raise ValueError(f"temperature_c must be at most {max(AMBIENT)}, got {temperature_c!r}")


def grouping_factor(*, circuits: int) -> Figure:
    """Return Cg for a number of loaded circuits bunched together.

    Parameters: circuits, 1 to 5.

    >>> grouping_factor(circuits=3).value
    0.7
    """
    refusal.count("circuits", circuits)
    if circuits not in GROUPING:
        raise ValueError(f"circuits must be at most {max(GROUPING)}, got {circuits!r}")
    source = wiring_rules(place="Appendix 4, Table 4C1")
    return Figure(value=GROUPING[circuits], unit="share", source=source)


def insulation_factor(*, surrounded_m: float) -> Figure:
    """Return Ci for a length of cable fully surrounded by thermal insulation.

    Parameters: surrounded_m [m], 0 or more. Only 0.1 m and 0.5 m are held here: a length between
    takes the lower factor of the next one, which is on the safe side.

    >>> insulation_factor(surrounded_m=0.3).value
    0.5
    """
    refusal.not_negative("surrounded_m", surrounded_m)
    source = wiring_rules(place="regulation 523.9")
    for tabulated in sorted(INSULATION):
        if surrounded_m <= tabulated:
            return Figure(value=INSULATION[tabulated], unit="share", source=source)
    return Figure(value=min(INSULATION.values()), unit="share", source=source)


@dataclass(frozen=True, slots=True, kw_only=True)
class Laying:
    """How a cable is laid, for its capacity.

    >>> round(Laying(method=Method.CLIPPED_DIRECT, circuits=2, temperature_c=35).factor, 3)
    0.752
    """

    method: Method
    circuits: int = 1
    temperature_c: float = 30
    surrounded_m: float = 0

    def __post_init__(self) -> None:
        Method(self.method)
        _ = self.factor  # refuses what the tables do not hold

    @property
    def factor(self) -> float:
        """Ca · Cg · Ci, a share above 0, at most 1."""
        return (
            ambient_factor(temperature_c=self.temperature_c).value
            * grouping_factor(circuits=self.circuits).value
            * insulation_factor(surrounded_m=self.surrounded_m).value
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeVerdict:
    """Why one size of cable would do, or would not.

    `reasons` holds codes: 'capacity-below-device' (derated capacity under the protective device's
    rating) and 'drop-above-limit'. None means that the size would do.
    """

    size_mm2: float
    derated_a: float
    drop_v: float
    drop_share: float
    limit_share: float
    reasons: tuple[str, ...]

    @property
    def would_do(self) -> bool:
        """Whether neither reason stands against the size."""
        return not self.reasons


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeChoice:
    """The smallest size that would do (None: none that is held here) and the verdict on each."""

    size_mm2: float | None
    verdicts: tuple[SizeVerdict, ...]
    sources: tuple[Source, ...]


def choose_size(
    *,
    current_a: float,
    device_a: float,
    length_m: float,
    laying: Laying,
    use: Use = Use.LIGHTING,
    supply_v: float = 230,
    loads: int = 1,
    limit_share: float | None = None,
) -> SizeChoice:
    """Return which twin and earth would do for a circuit, and why each other size would not.

    Parameters: current_a [A], 0 or more, the design current; device_a [A], above 0, the protective
    device's rating, not under current_a; length_m [m], 0 or more; limit_share of the supply, or None
    for the published limit of the use.
    Notes: current_a ≤ device_a ≤ table value · Ca · Cg · Ci, and drop ≤ limit.
    Raises: ValueError for anything outside those, also for a device under the design current.

    >>> laying = Laying(method=Method.STUD_WALL_IN_INSULATION)
    >>> choose_size(current_a=4, device_a=10, length_m=30, laying=laying).size_mm2
    1.5
    """
    refusal.not_negative("current_a", current_a)
    refusal.above_zero("device_a", device_a)
    if device_a < current_a:
        raise ValueError(
            f"device_a must not be under the design current of {current_a!r} A, got {device_a!r}"
        )
    limit = drop_limit(use=use, length_m=length_m)
    share = limit.value if limit_share is None else refusal.share("limit_share", limit_share)
    verdicts = tuple(
        _verdict(
            size_mm2=size_mm2,
            derated_a=table_a * laying.factor,
            device_a=device_a,
            drop=voltage_drop(
                current_a=current_a,
                length_m=length_m,
                size_mm2=size_mm2,
                supply_v=supply_v,
                loads=loads,
            ),
            limit_share=share,
        )
        for size_mm2, table_a in CAPACITY_A[laying.method].items()
    )
    return SizeChoice(
        size_mm2=next((each.size_mm2 for each in verdicts if each.would_do), None),
        verdicts=verdicts,
        sources=(capacity_source(method=laying.method), limit.source),
    )


def _verdict(
    *,
    size_mm2: float,
    derated_a: float,
    device_a: float,
    drop: VoltageDrop,
    limit_share: float,
) -> SizeVerdict:
    against = (
        ("capacity-below-device", derated_a < device_a),
        ("drop-above-limit", drop.share > limit_share),
    )
    return SizeVerdict(
        size_mm2=size_mm2,
        derated_a=derated_a,
        drop_v=drop.drop_v,
        drop_share=drop.share,
        limit_share=limit_share,
        reasons=tuple(code for code, stands in against if stands),
    )
