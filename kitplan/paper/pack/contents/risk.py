from kitplan.paper.pack.source import Source


def sheets(source: Source):
    yield from ()
