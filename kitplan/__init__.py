"""kitplan: decide where every camera stands, with the kit you own, in every pass of a live show."""

__version__ = "0.1.0"
