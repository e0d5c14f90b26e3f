"""Where sessions lie when nobody says otherwise; imports nothing heavy, as the first paint waits for it."""

from __future__ import annotations

import os
from pathlib import Path

VARIABLE = "FULLTURN_FOLDER"


def default_folder() -> Path:
    """Return the folder of the sessions: FULLTURN_FOLDER, or Fullturn among the user's documents."""
    named = os.environ.get(VARIABLE)
    if named:
        return Path(named).expanduser().absolute()
    from platformdirs import user_documents_path

    return user_documents_path() / "Fullturn"
