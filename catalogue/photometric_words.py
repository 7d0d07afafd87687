"""What the readers of photometric files say, in words that can be translated."""

from collections.abc import Iterable, Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from engineering.photometry.errors import Remark

REFUSED: Mapping[str, Promise] = {
    "not_bytes": _("the file must be given as bytes, got {kind}"),
    "empty": _("the file is empty"),
    "too_large": _("the file has {size} bytes; at most {limit} are read"),
    "binary": _("this is not a text file"),
    "no_tilt": _("no line 'TILT=' was found, so this is not an IES LM-63 file"),
    "tilt_unknown": _("'TILT=' needs NONE, INCLUDE or a file name"),
    "ends_early": _("the file ends before {field}"),
    "not_a_number": _("{field}: '{text}' is not a number"),
    "not_whole": _("{field} must be a whole number, got {text}"),
    "number_out_of_range": _("{field} must be {allowed}, got {value:g}"),
    "too_many_angles": _("{field}: {value} are given, at most {limit} are read"),
    "angles_not_rising": _("{field} must rise; {value:g} follows {previous:g}"),
    "angles_bad_span": _("{field} run from {first:g} to {last:g} degrees; allowed are {allowed}"),
    "negative_intensity": _("an intensity is negative: {value:g}"),
    "no_light": _("every intensity is 0"),
    "surplus_numbers": _("numbers are left over after the last intensity: the counts do not fit"),
    "planes_do_not_fit": _("symmetry {symmetry} cannot have {planes} C-planes"),
    "plane_at_wrong_angle": _(
        "symmetry {symmetry} needs a C-plane at {expected:g} degrees, got {value:g}"
    ),
    "one_value_a_line": _("{field}: each value has a line of its own, got '{text}'"),
    "too_few_angles": _(
        "type {kind} photometry needs at least two horizontal and two vertical angles"
    ),
    "lamp_set_missing": _("lamp set {wanted} was asked for; the file has {count}"),
}

REMARKED: Mapping[str, Promise] = {
    "flux_above_lamps": _(
        "the luminaire gives {flux:.0f} lm, more than the {lamps:.0f} lm of its lamps"
    ),
    "no_watts": _("no input power is given"),
    "edition_unknown": _("the edition '{text}' is not known; read as LM-63-2002"),
    "future_use_ignored": _("the field reserved for later use holds {value:g}; it is not applied"),
    "tilt_not_applied": _(
        "the lamps' flux depends on the tilt; the intensities hold for the level position"
    ),
    "tilt_file_missing": _(
        "the tilt table is in another file, '{text}'; the level position is taken"
    ),
    "tilt_when_measured": _("the luminaire was tilted by {value:g} degrees when measured"),
    "opening_unknown": _(
        "the signs of the luminous opening {width:g}, {length:g}, {height:g} name no shape; it is taken as a box"
    ),
    "converted": _("measured in type {kind} angles and converted to C-planes"),
    "vertical_range_short": _("vertical angles end at {last:g} degrees; no light is taken beyond"),
    "planes_gap": _(
        "no C-plane lies between {first:g} and {last:g} degrees; values there are interpolated"
    ),
    "full_turn_differs": _(
        "the plane at 360 degrees differs from the one at 0; the one at 0 is used"
    ),
    "nadir_differs": _("the planes do not agree straight down: {low:g} to {high:g} cd"),
    "text_left_over": _("text is left over after the last intensity"),
    "several_lamp_sets": _("{count} lamp sets are given; set {chosen} is used"),
    "conversion_factor_ignored": _("the conversion factor {value:g} is not applied"),
    "output_ratio_differs": _(
        "the file states a light output ratio of {stated:.0f} %, its intensities give {found:.0f} %"
    ),
    "spacing_differs": _(
        "the angle spacing of {stated:g} degrees does not fit the list of {field}"
    ),
    "type_indicator_odd": _("the type indicator {value} is not 1, 2 or 3"),
}


def remark_words(remarks: Iterable[Remark]) -> list[str]:
    """Each remark as a sentence with its line."""
    return [f"{each.line}: {str(REMARKED[each.code]).format(**each.values)}" for each in remarks]
