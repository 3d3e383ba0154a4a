"""guardleaf: batch planning of interleaving for bound scrapbooks and albums."""

__version__ = "0.1.0"
