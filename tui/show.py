"""How a refusal is shown: one line on standard error, or a notification on the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from solver.refused import Refused
from tui.streams import warn

if TYPE_CHECKING:
    from textual.app import App

#: Exit status of a command that was refused.
REFUSED = 2


def show(refused: Refused, app: App[object] | None = None) -> int:
    """Show a refusal to the person, on the screen if there is one.

    Parameters
    ----------
    refused : Refused
        What, where and the remedy.
    app : App, optional
        The running screen; without it the refusal goes to standard error.

    Returns
    -------
    int
        The exit status 2.
    """
    if app is None:
        warn(str(refused))
    else:
        app.notify(" ".join(str(refused).split()), severity="error", timeout=10, markup=False)
    return REFUSED


def of_system(error: OSError) -> Refused:
    """Put an error of the operating system in the words of a refusal."""
    what = (error.strerror or str(error) or "the system refused").lower()
    remedy = "check the path, the permissions and the disk"
    return Refused(what, where=str(error.filename or ""), remedy=remedy)
