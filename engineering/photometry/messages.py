"""What a photometric file can be refused or remarked on for, as codes with their English wording.

The code and the values are what the rest of the product works with (and translates); the English
sentence is there so that an error or a warning can also be read on its own.
"""

REFUSALS: dict[str, str] = {
    "not_bytes": "the file must be given as bytes, got {kind}",
    "empty": "the file is empty",
    "too_large": "the file has {size} bytes; at most {limit} are read",
    "binary": "this is not a text file",
    "no_tilt": "no line 'TILT=' was found, so this is not an IES LM-63 file",
    "tilt_unknown": "'TILT=' needs NONE, INCLUDE or a file name",
    "ends_early": "the file ends before {field}",
    "not_a_number": "{field}: '{text}' is not a number",
    "not_whole": "{field} must be a whole number, got {text}",
    "number_out_of_range": "{field} must be {allowed}, got {value:g}",
    "too_many_angles": "{field}: {value} are given, at most {limit} are read",
    "angles_not_rising": "{field} must rise; {value:g} follows {previous:g}",
    "angles_bad_span": "{field} run from {first:g} to {last:g} degrees; allowed are {allowed}",
    "negative_intensity": "an intensity is negative: {value:g}",
    "no_light": "every intensity is 0",
    "surplus_numbers": "numbers are left over after the last intensity: the counts do not fit",
    "planes_do_not_fit": "symmetry {symmetry} cannot have {planes} C-planes",
    "plane_at_wrong_angle": "symmetry {symmetry} needs a C-plane at {expected:g} degrees, "
    "got {value:g}",
    "one_value_a_line": "{field}: each value has a line of its own, got '{text}'",
    "too_few_angles": "type {kind} photometry needs at least two horizontal and two vertical "
    "angles",
    "lamp_set_missing": "lamp set {wanted} was asked for; the file has {count}",
}

REMARKS: dict[str, str] = {
    "flux_above_lamps": "the luminaire gives {flux:.0f} lm, more than the {lamps:.0f} lm of its "
    "lamps",
    "no_watts": "no input power is given",
    "edition_unknown": "the edition '{text}' is not known; read as LM-63-2002",
    "future_use_ignored": "the field reserved for later use holds {value:g}; it is not applied",
    "tilt_not_applied": "the lamps' flux depends on the tilt; the intensities hold for the level "
    "position",
    "tilt_file_missing": "the tilt table is in another file, '{text}'; the level position is taken",
    "tilt_when_measured": "the luminaire was tilted by {value:g} degrees when measured",
    "opening_unknown": "the signs of the luminous opening {width:g}, {length:g}, {height:g} name "
    "no shape; it is taken as a box",
    "converted": "measured in type {kind} angles and converted to C-planes",
    "vertical_range_short": "vertical angles end at {last:g} degrees; no light is taken beyond",
    "planes_gap": "no C-plane lies between {first:g} and {last:g} degrees; values there are "
    "interpolated",
    "full_turn_differs": "the plane at 360 degrees differs from the one at 0; the one at 0 is used",
    "nadir_differs": "the planes do not agree straight down: {low:g} to {high:g} cd",
    "text_left_over": "text is left over after the last intensity",
    "several_lamp_sets": "{count} lamp sets are given; set {chosen} is used",
    "conversion_factor_ignored": "the conversion factor {value:g} is not applied",
    "output_ratio_differs": "the file states a light output ratio of {stated:.0f} %, its "
    "intensities give {found:.0f} %",
    "spacing_differs": "the angle spacing of {stated:g} degrees does not fit the list of {field}",
    "type_indicator_odd": "the type indicator {value} is not 1, 2 or 3",
}
