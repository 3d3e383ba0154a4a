"""Plain words for codes, and the cautions that stand on work orders."""

STATE_WORDS = {
    "covered": "covered: every opening that should have a sheet gets one",
    "prioritised": "prioritised: part of the openings get a sheet, the rest do not fit",
    "no_headroom": "no headroom: the binding takes no more bulk",
    "treat_first": "treat first: split joint",
    "on_hold": "on hold: a hazard to people, or an open question",
    "no_paper": "no paper: no listed paper suits the content",
    "deferred": "deferred: beyond the campaign's hours, dates or money",
    "nothing_needed": "nothing needed",
}
STATE_NAMES = {state: words.partition(":")[0] for state, words in STATE_WORDS.items()}

KIND_WORDS = {
    "cut": "cut leaves",
    "fetch": "fetch",
    "remove": "take out old leaves",
    "interleave": "interleave",
    "check": "check fore edge",
    "enclose": "put in new enclosure",
    "return": "return to shelf",
}

HAZARD_WORDS = {
    "acidic_insert": "acidic insert",
    "unstable_media": "bleeding ink or dye",
    "friable_media": "friable media",
    "fastener": "fastener",
    "raised_attachment": "raised attachment",
    "facing_photographs": "facing photographs",
    "staining_adhesive": "staining adhesive",
    "tacky_adhesive": "tacky adhesive",
}

DEFER = "Local codes and the word of a licensed or qualified person come first."

CAUTIONS = {
    "hold_mould": (
        "ON HOLD, active mould: keep isolated, wear respiratory protection, do not open at the bench."
    ),
    "hold_nitrate": (
        "ON HOLD, cellulose nitrate: isolate, keep from heat and flame, fire rules apply; specialist advice."
    ),
    "hold_arsenic": "ON HOLD, suspected arsenic: gloves, no dry brushing, wash hands; specialist advice.",
    "hold_treated_specimen": (
        "ON HOLD, treated specimens (arsenic, mercury): gloves, no dry brushing; specialist advice."
    ),
    "hold_other": "ON HOLD: do not work on this volume until the person who set the hold clears it.",
    "fastener": (
        "Pins, staples or clips: rusted points puncture. Look before you slide a hand in; keep tetanus cover."
    ),
    "specimen": (
        "Specimens may have been treated (arsenic, mercury): gloves, no dry brushing; ask if in doubt."
    ),
    "two_person_lift": "Large or heavy volume: two people lift, carry and turn it; clear the way first.",
    "leaves_fragile": "Fragile leaves: turn with a support sheet.",
    "leaves_brittle": "Brittle leaves: turn with a support board, never by the corner.",
}
GUILLOTINE = (
    "Guillotine and board cutter: trained users only, guards on, both hands on the controls, "
    "blade locked when idle."
)
GENERAL_CAUTIONS = (
    GUILLOTINE,
    "Bright green papers and paints may hold arsenic, old paints lead: gloves, no dry brushing, "
    "specialist advice.",
    "Film negatives that smell, stick or have gone amber may be cellulose nitrate: stop, isolate, fire "
    "rules.",
    "Fresh, fluffy mould: close the volume, isolate it, respiratory protection, tell the lab lead.",
    "Rusted pins and staples puncture. Oversize volumes: two people lift.",
    DEFER,
)

GRAIN_WORDS = {"long": "along the length", "short": "along the width"}


def hazard_words(hazards: str) -> str:
    """A list of hazards in plain words, the side kept: `left:fastener` is `fastener (left)`."""
    parts = (part.strip() for part in hazards.replace(";", ",").split(","))
    return ", ".join(_one_hazard(part) for part in parts if part)


def _one_hazard(word: str) -> str:
    side, _, hazard = word.rpartition(":")
    plain = HAZARD_WORDS.get(hazard, hazard.replace("_", " "))
    return f"{plain} ({side})" if side else plain


def plural(count: float, word: str) -> str:
    """`1 sheet`, `2 sheets`."""
    return f"{count:,.0f} {word}" + ("" if count == 1 else "s")
