"""The light of a room: from the design to a problem of the core, and back to what pages show.

`problem` states it as frozen values, `solving` works it out once for each input and keeps it,
`scenes` turns levels into weights, `quick` answers while talking, `pictures` draws. Every figure is
an estimate. How it is worked out: docs/calculations/light.md.
"""
