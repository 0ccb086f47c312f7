"""Edges that nothing is said of: neither sewn nor finished, so that they are cut without an allowance."""

from __future__ import annotations

from onfold.checks.subject import Subject, on_piece, run_edges
from onfold.pattern import Edge, Piece, Seam
from onfold.problems import Problem, problem


def edges_bare(subject: Subject) -> list[Problem]:
    """EDGE-BARE: every edge but a fold is sewn on both halves of the body, or has a finish.

    Source [C]: what is sewn to nothing and finished by nothing was forgotten; `raw 0 mm` says that it is meant.
    """
    sewn = _sewn(subject)
    found: dict[tuple[str, str], Problem] = {}
    half_sewn: dict[str, Problem] = {}
    for piece in subject.pattern.pieces:
        for edge in piece.edges:
            key = (piece.name, edge.root)
            if edge.fold or edge.finish == "dart" or key in found:
                continue
            copies = sewn.get((piece.name, edge.name), set())
            if not copies and not edge.finish and edge.allowance <= 0.0:
                found[key] = _bare(piece, edge)
            elif copies == {"drawn"} and (piece.on_fold or piece.mirrored_pair):
                seam = subject.seam_of[piece.name, edge.name]
                half_sewn.setdefault(seam.name, _half_sewn(seam, piece, edge))
    return [*found.values(), *half_sewn.values()]


def _sewn(subject: Subject) -> dict[tuple[str, str], set[str]]:
    """Return which copies of each edge, drawn or mirrored, are in a seam."""
    copies: dict[tuple[str, str], set[str]] = {}
    for seam in subject.pattern.seams:
        for run in (*seam.sides[0], *seam.sides[1]):
            for edge in run_edges(subject, run):
                copies.setdefault((run.piece, edge.name), set()).update(
                    ("drawn", "mirrored") if seam.twice else (run.copy,)
                )
    return copies


def _bare(piece: Piece, edge: Edge) -> Problem:
    name = f"{edge.root} of {piece.name}"
    return problem(
        "EDGE-BARE",
        says=f"The {name} is sewn to nothing and has no finish, so it is cut without an allowance.",
        found="no seam and no finish",
        expected="a seam, or a finish",
        remedy=f"Sew it, or give it a finish; left as it is cut: finish: {{{name}: raw 0 mm}}.",
        where=on_piece(piece.name),
    )


def _half_sewn(seam: Seam, piece: Piece, edge: Edge) -> Problem:
    return problem(
        "EDGE-BARE",
        says=f"The {seam.name} sews the {edge.root} of one half of the {piece.name} only; that of the other is sewn to "
        "nothing.",
        found="one half sewn",
        expected="both halves",
        remedy=f"Say in the step of the {seam.name} that it is sewn on both sides: twice: yes.",
        where=on_piece(piece.name),
    )
