"""Magnetic pickups on the bench: what they measure, how they combine, what to change.

The public names are listed in `__init__.pyi`, for type checkers and for the loader, and
loaded when first used, so that importing the package costs next to nothing.
"""

import lazy_loader

__version__ = "0.1.0"

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
