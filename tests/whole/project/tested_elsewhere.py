"""Modules of the pure middle that have no test file of their own: which tests exercise each, and why there."""

from __future__ import annotations

TESTED_ELSEWHERE: dict[str, str] = {
    "flow/again_and_pages.py": "tests/flow/feeds/test_rereading.py: values; pages are met in test_collection_pages",
    "flow/feeds/drafting/fields.py": "tests/flow/feeds/drafting/test_draft.py: what is read of whole drafts",
    "flow/feeds/drafting/lexicon/dictionary.py": "tests/flow/feeds/drafting/lexicon/test_titles.py: met in titles",
    "flow/feeds/drafting/lexicon/vocabulary.py": "tests/flow/feeds/drafting/lexicon/test_cell_words.py: met in cells",
    "flow/feeds/drafting/yaml_text.py": "tests/flow/feeds/drafting/test_draft.py: strange titles are quoted",
    "flow/feeds/formats/icar_item.py": "tests/flow/feeds/formats/test_icar.py: what an item gave shows in its rows",
    "flow/feeds/formats/icar_visit.py": "tests/flow/feeds/formats/test_icar.py: visits, of which most items are",
    "flow/feeds/plans.py": "tests/flow/feeds/formats/test_delimited.py: a plan shows in the rows it gives",
    "flow/measures/__init__.py": "tests/flow/measures/test_measure_names.py: the list, with test_registered.py",
    "flow/measures/base/facts.py": "tests/flow/measures/test_registered.py: declarations, held to their use",
    "flow/measures/base/shape.py": "tests/flow/measures/test_every_measure.py: a shape is held to by every measure",
    "flow/measures/boxes/attach_times.py": "tests/flow/measures/boxes/test_attach_drift.py: read by that measure",
    "flow/measures/boxes/box_context.py": "tests/flow/measures/boxes/failures/test_failures_beyond_chance.py: its sums",
    "flow/measures/cells/recording.py": "tests/flow/measures/cells/test_cow_cells.py: of the same tests",
    "flow/measures/tank/means.py": "tests/flow/measures/tank/test_results.py: named by each mean's own `check`",
    "flow/notices/desk.py": "tests/flow/notices/test_plan.py: declarations, of which every notice is made",
    "flow/rules/rule.py": "tests/flow/rules/test_load.py: declarations, filled from a rules file",
    "flow/rules/written.py": "tests/flow/rules/test_schema.py: declarations, of which the schema is made",
    "flow/tables/own.py": "tests/flow/tables/test_frames.py: declarations, held to together with the exported tables'",
    "flow/views/parts/kept_words.py": "tests/flow/views/parts/test_records.py: the words of every kind of entry",
    "flow/views/parts/snapshot.py": "tests/flow/views/test_now.py: a declaration, of which every page is made",
    "flow/views/for_programs/why_record.py": "tests/flow/views/test_why.py: the same as the words, for programs",
}
"""By the module; each line begins with the test file, as a path from the top."""
