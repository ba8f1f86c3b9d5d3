"""Feed maps tried on the newest files: what they give, and what of it hardly is what the map takes it for.

    tried       what one map gives of a few files: rows, what is set aside, the figures of each field
    questions   what a draft left open
    patterns    which map is for which file
    figures     fields whose figures hardly are what they are taken for
    rows        rows and files that cannot be read, or are later than their file
    overlaps    rows that two feeds tell differently
    findings    all of them, each with its place in the map and what to do

Nothing here decides anything: a finding is a suggestion to whoever writes the map.
"""
