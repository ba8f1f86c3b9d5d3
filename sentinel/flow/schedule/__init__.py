"""What is to be done on the farm, and when: below notices and views, which both read it but not each other.

In reading order: `days` (the farm's calendar), `rounds`, `chores` and `durations` (how long they take), `grazing`,
`milk_waiting` (in cows to bring), `feeds` (how far each is known), `sections` (in which order one walks), `worklist`
(the items of a round's list).
"""
