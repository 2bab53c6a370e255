"""What is recorded corrects what is reckoned: the pace of kinds of work, and how fast films dry in a room.

Pure functions over frozen records. `priors` has every number with what it stands on, `beliefs` the estimate itself,
`pace` and `felt` what a record says, and when what was learned is used.
"""
