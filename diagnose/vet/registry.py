"""Every check of a whole book, by its stable id. What the reader checks stands in rulebook/checks.py."""

from __future__ import annotations

from diagnose.vet.check import Check
from diagnose.vet.checks import decisions, entries, first, names, parting, reach, reasons, sources, teaching, work

CHECKS: tuple[Check, ...] = (
    # names that nothing asks for
    Check("unused-source", "every source is cited", names.unused_sources),
    Check("unused-caution", "a caution that does not hold always is named where it warns", names.unused_cautions),
    Check("unused-service", "rules decide for every service", names.unused_services),
    Check("unused-given", "a rule, prior or formula asks for every given", names.unused_givens),
    Check("unused-test", "a test is asked for, or yields what is asked for", names.unused_tests),
    Check("unused-method", "some test yields a reading by every method", names.unused_methods),
    Check("unused-state", "tests need or leave every state of the car", names.unused_states),
    Check("unused-figure", "bands and formulas ask for every limit and value of a family", names.unused_family_figures),
    Check("same-family", "families differ in something that the book asks for", names.unused_families),
    Check("lone-name", "a word that groups entries stands at two of them at least", names.lone_names),
    # paths that lead nowhere
    Check("unreached-cause", "some finding speaks for every cause", reach.unreached_causes),
    Check("never-first", "some set of findings puts every cause first", first.never_first),
    Check("not-parted", "a finding parts any two causes that take different work", parting.pairs_not_parted),
    Check("unused-finding", "every finding out of the ordinary changes something", reach.unused_findings),
    Check("unmeasured-reading", "some test yields every reading that rules ask for", reach.unmeasured_readings),
    Check("unconcluded-pattern", "rules conclude every band of a pattern", reach.unconcluded_patterns),
    # work at the car
    Check("unguarded-opening", "a test that opens the system has a caution for opening it", work.unguarded_openings),
    Check("missing-gate", "a book whose tests open the system tells when it may be opened", work.missing_gate),
    Check("state-out-of-reach", "the state that a test needs can be brought about", work.states_out_of_reach),
    # numbers
    Check("limit-without-source", "limits, and the values of families, have a source", sources.limits_without_source),
    # decisions
    Check("missing-decision", "some rule decides in every combination of findings", decisions.missing_decisions),
    Check("outranked-decision", "a rule that decides has the last word somewhere", decisions.outranked_decisions),
    Check("two-conclusions", "no two rules put a pattern into two bands at once", decisions.contradicting_conclusions),
    # reasoning
    Check("repeated-because", "every rule tells a mechanism of its own", reasons.repeated_reasons),
    Check("proven-too-easily", "nothing is proven by one colour test alone", reasons.easy_proofs),
    Check("far-miss", "a silent example differs in one reading from one that fires", reasons.far_misses),
    # trees
    Check("sound-entry", "every entry begins with something out of the ordinary", entries.sound_entries),
    # teaching
    Check("empty-lesson", "rules stand in every lesson", teaching.empty_lessons),
    Check("untaught-misconception", "a lesson has a rule for every misconception", teaching.untaught_misconceptions),
)

IDLE_EXCUSE = "idle-excuse"
UNKNOWN_CHECK = "unknown-check"
EXCUSES = {
    IDLE_EXCUSE: "an entry under 'excused' excuses something",
    UNKNOWN_CHECK: "what is excused is a check of a whole book",
}
"""Checks of the excuses themselves, made after all others."""


def every_check() -> dict[str, str]:
    """Each check of a whole book with what it asks for."""
    return {check.id: check.asks for check in CHECKS} | EXCUSES
