"""What to set at the bench, in words that suit the circles: an index by its angle, a polygon by its faces."""

from __future__ import annotations

import numpy as np

from sessions.circle_words import angle_words, by_faces, circle_names, step_words
from sessions.header import Header
from sessions.sentences import capital


class SettingWords:
    """The words for the settings of one session.

    Parameters
    ----------
    header : Header
        The session's plan and circles.
    """

    def __init__(self, header: Header) -> None:
        self._design = header.design
        self._model = header.design.model()
        self._courses = header.design.courses(self._model)
        self._names = circle_names(header)
        self._faces = by_faces(header)

    def set_to(self, run: int, step: int) -> str:
        """Say what to set for a reading."""
        design, n = self._design, self._design.positions
        if design.runs[run].arc is not None:
            lower, upper = self._stand(run, step)
            return capital(f"{self._names[0]} to {lower}, {self._names[1]} to {upper}")
        if design.closure == "single":
            if self._faces:
                return f"Interval {step}: from face {step - 1} to face {step % n}"
            return f"Interval {step}: from {self._angle(step - 1)} to {self._angle(step % n)}"
        lower = self._names[0]
        here = f"{lower} to {self._angle(step % n)}, {self._upper(run, step, to=True)}"
        if design.reading == "position":
            return capital(here)
        before = f"{self._angle((step - 1) % n)}, {self._upper(run, step - 1)}"
        if self._faces:
            return f"Zero with {lower} at {before}; then {here}"
        return f"Zero at {before}; then {here}"

    def begins(self, run: int) -> str:
        """Say what has to be done before a run is begun."""
        design = self._design
        if design.closure == "single":
            if run == 0:
                angle = step_words(design)
                return f"Set the fixed angle near {angle} and leave it so to the end; its error comes out as well."
            return "Once more round; the fixed angle stays untouched."
        first = self._upper(run, 0)
        stays = run > 0 and bool(self._courses.offset[run] == self._courses.offset[run - 1])
        if design.runs[run].arc is not None:
            lower, upper = self._stand(run, 0)
            here = f"{capital(self._names[0])} at {lower}, {self._names[1]} at {upper}"
            turn = "mirror back to the instrument, rezero"
            return f"{here}; {'the offset stays' if stays else turn}."
        if self._faces:
            if stays:
                return "The polygon stays as it is on the table."
            if run == 0:
                return f"Mark a face as 0, the next to come round 1. Turn {first} to the instrument, zero it."
            return f"Turn the polygon alone: {first} to the instrument, rezero."
        if stays:
            return "The offset stays."
        if design.arrangement == "face by face":
            if run == 0:
                return f"Bring {first} to the instrument, zero it."
            return f"Bring {first} to the instrument, rezero."
        start = self._angle(design.runs[run].offset)
        if run == 0:
            return f"Lower at 0°, upper at {start}; mirror to the instrument, zero it."
        return f"Shift the upper to {start}, mirror back to the instrument, rezero."

    def _stand(self, run: int, step: int) -> tuple[str, str]:
        """Return where both circles stand at a step, in words."""
        offset, at = self._courses.setting(np.array([run]), np.array([step]))
        settings = self._model.lower(at)[0], self._model.upper(offset, at)[0]
        lower, upper = (angle_words(int(each), self._model.fine) for each in settings)
        return lower, upper

    def _upper(self, run: int, step: int, *, to: bool = False) -> str:
        """Return the position of the upper circle at a step, as what it stands "to" or by its bare name."""
        offset, at = self._courses.setting(np.array([run]), np.array([step]))
        position = int(self._model.upper(offset, at)[0]) // self._model.subdivision
        name = self._names[1]
        if self._faces:
            return f"face {position}"
        return f"{name} to {self._angle(position)}" if to else f"{name} {self._angle(position)}"

    def _angle(self, position: int) -> str:
        return angle_words(position, self._design.positions)
