"""How long it takes to swap what wears out, between one match and the next."""

from __future__ import annotations

from scaling.book.algebra import symbols
from scaling.book.entry import Quantity, Variable
from scaling.files.schema import Choice

screws, tool_changes, screw_time, tool_time, pause, swap_time = symbols(
    "service.screws service.tool_changes service.screw_time service.tool_time service.pause swap_time"
)

VARIABLES = (
    Variable("service.screws", "n_v", "1", "screws between a whole machine and what is swapped, its own among them",
             allowed="not negative", optional=True),
    Variable("service.tool_changes", "c_v", "1", "changes of tool on the way in and out, the first tool counted",
             allowed="not negative", optional=True),
    Variable("service.screw_time", "t_v", "s", "time for one screw, out and in again", default=20.0),
    Variable("service.tool_time", "t_c", "s", "time for one change of tool", default=10.0),
    Variable("service.pause", "t_p", "s", "time from the end of a match to the next call", default=1200.0),
)

CHOICES = {
    "service.target": Choice(None, "what is swapped between matches, by its name under [[removals]]", optional=True),
}

QUANTITIES = (
    Quantity(
        "swap_time", "Swap time between matches", "t_w", "s", "service", "lower",
        screws * screw_time + tool_changes * tool_time,
        clock="match",
        source="common-practice: 20 s a screw and 10 s a change of tool, by hand on a bench, are the defaults",
        assumes="nothing is bent, hot or soldered; one pair of hands",
    ),
    Quantity(
        "service_margin", "Service margin", "t_p/t_w", "1", "service", "higher", pause / swap_time,
        role="budget", clock="match", keep="one",
        source="definition; common-practice: twenty minutes between matches is the default",
        assumes="charging and looking for what else broke take no time of their own",
    ),
)  # fmt: skip
