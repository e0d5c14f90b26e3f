"""The colours: aged brass on blackened steel, and ink on paper for bright rooms.

Colour only ever repeats what a word or a sign says already.
"""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="fullturn-dark",
    primary="#d2ad67",
    secondary="#86a3ae",
    accent="#d2ad67",
    foreground="#ddd8cb",
    background="#15191c",
    surface="#1b2125",
    panel="#252d32",
    success="#93b878",
    warning="#e6a055",
    error="#e27c70",
    dark=True,
    variables={
        "block-cursor-background": "#33404a",
        "block-cursor-foreground": "#f4efe2",
        "block-cursor-text-style": "none",
        "block-cursor-blurred-background": "#252d32",
        "block-cursor-blurred-foreground": "#ddd8cb",
        "footer-background": "#1b2125",
        "footer-key-foreground": "#d2ad67",
        "footer-description-foreground": "#b5b2a8",
        "scrollbar": "#33404a",
        "scrollbar-hover": "#4a5a65",
        "scrollbar-active": "#86a3ae",
        "scrollbar-background": "#15191c",
        "scrollbar-background-hover": "#15191c",
        "scrollbar-background-active": "#15191c",
        "scrollbar-corner-color": "#15191c",
        "input-selection-background": "#86a3ae 35%",
    },
)

LIGHT = Theme(
    name="fullturn-light",
    primary="#765211",
    secondary="#35596a",
    accent="#765211",
    foreground="#26251f",
    background="#f7f3e9",
    surface="#eee8da",
    panel="#e3dbc9",
    success="#3a6426",
    warning="#8f4708",
    error="#a12a22",
    dark=False,
    variables={
        "block-cursor-background": "#d8ccb0",
        "block-cursor-foreground": "#1c1b16",
        "block-cursor-text-style": "none",
        "block-cursor-blurred-background": "#e3dbc9",
        "block-cursor-blurred-foreground": "#26251f",
        "footer-background": "#eee8da",
        "footer-key-foreground": "#765211",
        "footer-description-foreground": "#4c4a41",
        "scrollbar": "#cdc2a8",
        "scrollbar-hover": "#b7a985",
        "scrollbar-active": "#765211",
        "scrollbar-background": "#f7f3e9",
        "scrollbar-background-hover": "#f7f3e9",
        "scrollbar-background-active": "#f7f3e9",
        "scrollbar-corner-color": "#f7f3e9",
        "input-selection-background": "#35596a 30%",
    },
)
