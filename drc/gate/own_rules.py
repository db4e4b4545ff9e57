"""What the gate itself finds, beside the rules of the book: about acceptances and known findings."""

from drc.outcome import KNOWN_GONE, RuleText

EXPIRED = RuleText(
    "acceptance-expired",
    "An acceptance holds to its date",
    "What was accepted for a time must be looked at again when that is over; it counts as found until then.",
    "Mend what was accepted, or accept it anew",
)
UNUSED = RuleText(
    "acceptance-unused",
    "An acceptance is about something that is found",
    "One that matches nothing has a wrong name in it, or is left over and would hide the next of its kind.",
    "Take the statement out, or mend the names in it",
)
GONE = RuleText(
    KNOWN_GONE,
    "A known finding is still met",
    "The file of known findings should shrink as they are mended: an entry left over would hide a relapse.",
    "Take it out of the file: --known FILE --accept does",
)

OWN_RULES = (EXPIRED, UNUSED, GONE)
