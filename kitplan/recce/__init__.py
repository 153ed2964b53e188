"""From a dozen answers to a complete shoot file: the room, the people, what is asked for.

`questions` lists what is asked, `reading` understands the answers, `plot` the stage plot and
`running` songs and passes; `places`, `people` and `writing` make the shoot file of them.
"""
