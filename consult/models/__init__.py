"""For whom and what: clients, projects, rooms, circuits, scenes, keypad positions.

Every row of a design hangs from its project directly, so that a whole design is read in a constant
number of queries and a stranger's row is never found. Foreign keys protect: a row goes only by a
deed that removes what hangs from it first, and the journal remembers both.
"""

from consult.models.circuits import Circuit, CircuitFitting
from consult.models.deciding import FixedChoice, SetAside, SwitchingPiece, fixed_shapes
from consult.models.house import (
    Enclosure,
    Floor,
    Opening,
    Room,
    RoomGroup,
    RoomObject,
    TargetLevel,
)
from consult.models.journal import JournalEntry
from consult.models.people import Client, ClientPerson, ClientQuerySet, Project, ProjectQuerySet
from consult.models.playing import KeypadPosition, PositionButton, Scene, SceneLevel
from consult.models.rows import (
    DesignRow,
    DesignRowQuerySet,
    Option,
    OptionGroup,
    metres,
    option_key,
    reflectance,
)

__all__ = [
    "Circuit",
    "CircuitFitting",
    "Client",
    "ClientPerson",
    "ClientQuerySet",
    "DesignRow",
    "DesignRowQuerySet",
    "Enclosure",
    "FixedChoice",
    "Floor",
    "JournalEntry",
    "KeypadPosition",
    "Opening",
    "Option",
    "OptionGroup",
    "PositionButton",
    "Project",
    "ProjectQuerySet",
    "Room",
    "RoomGroup",
    "RoomObject",
    "Scene",
    "SceneLevel",
    "SetAside",
    "SwitchingPiece",
    "TargetLevel",
    "fixed_shapes",
    "metres",
    "option_key",
    "reflectance",
]

import consult.brief_models
import consult.presence_models
import consult.radio_models  # noqa: F401
