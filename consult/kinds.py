"""The words of the consultation: uses of rooms, layers, objects, kinds of work."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class KindOfWork(models.TextChoices):
    NEW_BUILD = "new-build", _("New build")
    CONVERSION = "conversion", _("Conversion")
    EXTENSION = "extension", _("Extension")
    RENOVATION = "renovation", _("Renovation")
    REDECORATION = "redecoration", _("Redecoration, wiring kept")


class Stage(models.TextChoices):
    ENQUIRY = "enquiry", _("Enquiry")
    DESIGN = "design", _("In design")
    ON_SITE = "on-site", _("On site")
    HANDED_OVER = "handed-over", _("Handed over")
    CLOSED = "closed", _("Closed")


class Nation(models.TextChoices):
    ENGLAND = "england", _("England")
    WALES = "wales", _("Wales")
    SCOTLAND = "scotland", _("Scotland")
    NORTHERN_IRELAND = "northern-ireland", _("Northern Ireland")
    ELSEWHERE = "elsewhere", _("Elsewhere")


class RoomUse(models.TextChoices):
    LIVING = "living", _("Living room")
    KITCHEN = "kitchen", _("Kitchen")
    DINING = "dining", _("Dining")
    BEDROOM = "bedroom", _("Bedroom")
    CHILD = "child", _("Child's room")
    BATHROOM = "bathroom", _("Bathroom or shower room")
    TOILET = "toilet", _("Toilet")
    HALL = "hall", _("Hall or landing")
    STAIR = "stair", _("Stair")
    STUDY = "study", _("Study or library")
    UTILITY = "utility", _("Utility or store")
    WORKSHOP = "workshop", _("Workshop")
    GARAGE = "garage", _("Garage")
    OUTDOOR = "outdoor", _("Outdoors")
    OTHER = "other", _("Other")


class Dampness(models.TextChoices):
    DRY = "dry", _("Dry")
    DAMP = "damp", _("Damp")
    WET = "wet", _("Wet: bath or shower")
    OUTDOOR = "outdoor", _("Outdoors")


class ObjectKind(models.TextChoices):
    DOOR = "door", _("Door")
    WINDOW = "window", _("Window")
    BATH = "bath", _("Bath")
    TRAY = "tray", _("Shower tray")
    SHOWER_OUTLET = "shower-outlet", _("Shower outlet, no tray")
    BASIN = "basin", _("Basin")
    WORKTOP = "worktop", _("Worktop")
    ISLAND = "island", _("Island")
    TABLE = "table", _("Table")
    DESK = "desk", _("Desk")
    BED = "bed", _("Bed")
    MIRROR = "mirror", _("Mirror")
    SEAT = "seat", _("Seat")
    SHELVES = "shelves", _("Shelves")
    WARDROBE = "wardrobe", _("Wardrobe")
    CUPBOARD = "cupboard", _("Wall cupboard")
    PICTURE = "picture", _("Picture on the wall")
    RUG = "rug", _("Rug")


# What fittings are hung over.
HUNG_OVER = (
    ObjectKind.TABLE,
    ObjectKind.ISLAND,
    ObjectKind.DESK,
    ObjectKind.WORKTOP,
    ObjectKind.BED,
    ObjectKind.SEAT,
    ObjectKind.BASIN,
    ObjectKind.BATH,
)


class Layer(models.TextChoices):
    AMBIENT = "ambient", _("Ambient")
    TASK = "task", _("Task")
    ACCENT = "accent", _("Accent")
    DECORATIVE = "decorative", _("Decorative")
    NIGHT = "night", _("Night")


class Trade(models.TextChoices):
    """Who supplies, installs or connects."""

    SHOWROOM = "showroom", _("us")
    CLIENT = "client", _("the client")
    ELECTRICIAN = "electrician", _("the client's electrician")
    BUILDER = "builder", _("the builder")
    JOINER = "joiner", _("the joiner")


class Arrangement(models.TextChoices):
    GRID = "grid", _("grid over the ceiling")
    ROW = "row", _("in a row")
    PERIMETER = "perimeter", _("round the edge")
    ALONG_WALL = "along-wall", _("along a wall")
    POINTS = "points", _("single points")
    OVER_OBJECT = "over-object", _("over an object")


class Wall(models.TextChoices):
    """A wall of a room, as one looks from above: x along the length, y along the width."""

    NOT_SAID = "", _("the longest one")
    FRONT = "front", _("front wall")
    RIGHT = "right", _("right wall")
    BACK = "back", _("back wall")
    LEFT = "left", _("left wall")


class HowSure(models.TextChoices):
    """How sure a published figure is."""

    READ = "read", _("read in the source")
    QUOTED = "quoted", _("as others quote it")
    MEMORY = "memory", _("from memory")
    COMMON_PRACTICE = "common-practice", _("common practice, no source")


class ScalesBy(models.TextChoices):
    """How many pieces follow a room, where a pattern is put into another one."""

    NOTHING = "", _("stays as it is")
    AREA = "area", _("with the floor area")
    PERIMETER = "perimeter", _("with the way round the walls")


class EnclosureKind(models.TextChoices):
    BOARD = "board", _("Board")
    CUPBOARD = "cupboard", _("Cupboard")
    VOID = "void", _("Ceiling void")
    UNIT = "unit", _("In the furniture")


class DriverPlace(models.TextChoices):
    """Where drivers after an output stand."""

    WITH_RECEIVER = "", _("with the receiver")
    CUT_OUT = "cut-out", _("through the cut-out of the fitting")
    REMOTE = "remote", _("in a place of their own")


class ResidualType(models.TextChoices):
    """What a residual-current device still trips on (BS EN 61008, from memory)."""

    NOT_SAID = "", _("not said")
    AC = "AC", _("type AC: sine-wave currents only")
    A = "A", _("type A: also pulsing direct current")
    F = "F", _("type F: also mixed frequencies")
    B = "B", _("type B: also smooth direct current")


class Laid(models.TextChoices):
    """How twin and earth is laid: the reference methods of BS 7671, Table 4D5."""

    NOT_SAID = "", _("not said")
    CLIPPED = "C", _("clipped direct (C)")
    ABOVE_THIN = "100", _("above a ceiling, insulation up to 100 mm (100)")
    ABOVE_THICK = "101", _("above a ceiling, insulation over 100 mm (101)")
    IN_WALL_TOUCHING = "102", _("in an insulated stud wall, touching the board (102)")
    IN_WALL_SURROUNDED = "103", _("in an insulated stud wall, not touching it (103)")
    IN_CONDUIT = "A", _("in conduit in an insulated wall (A)")


class NeutralAt(models.TextChoices):
    """How the neutral of kept wiring runs."""

    UNKNOWN = "", _("not known")
    SWITCH = "switch", _("neutral at the switch")
    ROSE = "rose", _("loop at the rose")


class Above(models.TextChoices):
    """What is above a ceiling, as far as fire rules tell it apart."""

    NOT_SAID = "", _("not said")
    LIVED_IN = "lived-in", _("rooms that people live in")
    OTHER_HOME = "other-home", _("another home")
    ROOF = "roof", _("roof, or a loft nobody lives in")


class Joists(models.TextChoices):
    NOT_SAID = "", _("not known")
    SOLID = "solid", _("solid timber")
    I_JOIST = "i-joist", _("I-joists")
    METAL_WEB = "metal-web", _("metal-web joists")
    CONCRETE = "concrete", _("concrete")


class Finish(models.TextChoices):
    """What a ceiling or a wall is of, as far as it changes the work of fixing into it."""

    NOT_SAID = "", _("not said")
    PLASTER = "plaster", _("plasterboard and skim")
    LATH = "lath", _("lath and plaster")
    TIMBER = "timber", _("timber boards")
    TILED = "tiled", _("tiled")
    MASONRY = "masonry", _("brick or stone")
    CONCRETE = "concrete", _("concrete")


class Along(models.TextChoices):
    NOT_SAID = "", _("not known")
    LENGTH = "x", _("along the length")
    WIDTH = "y", _("along the width")


class AfterPowerCut(models.TextChoices):
    NOT_SAID = "", _("not said")
    AS_BEFORE = "as-before", _("as before the cut")
    ON = "on", _("comes on")
    OFF = "off", _("stays off")


class FixedKind(models.TextChoices):
    """What somebody overruled."""

    RECEIVER = "receiver", _("a circuit's receiver")
    TOGETHER = "together", _("two circuits in one receiver")
    DRIVER = "driver", _("a circuit's driver")
    UNITS = "units", _("how many receivers in a place")
    KEYPAD = "keypad", _("the keypad at a position")
    LOOK = "look", _("series and finish of all keypads")


class ButtonDoes(models.TextChoices):
    SCENE = "scene", _("plays a scene")
    ALL_ON = "all-on", _("all on")
    ALL_OFF = "all-off", _("all off")
    NOTHING = "nothing", _("nothing")
