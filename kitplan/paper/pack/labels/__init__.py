"""Adhesive labels for what is owned: a code to be read by a camera, and words to be read by people.

`codes` says what stands in a code, `stock` where the labels of a sheet lie, `contents` which labels
there are, `layout` what lies where on each; `out/` sets them.
"""
