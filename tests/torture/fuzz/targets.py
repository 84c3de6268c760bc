"""All ways into the program that are fuzzed."""

from tests.torture.fuzz import files, journals, options, page, sound, words

TARGETS = (
    *words.TARGETS,
    *options.TARGETS,
    *files.TARGETS,
    *sound.TARGETS,
    *journals.TARGETS,
    *page.TARGETS,
)
