"""`diagnose draw`: rule maps and decision trees, as pictures and as text."""

from diagnose.cli.draw.command import draw

__all__ = ["draw"]
