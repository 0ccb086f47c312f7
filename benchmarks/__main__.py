"""Runs every row and prints one table; ends with 1 where a bar is missed."""

from __future__ import annotations

import sys
from collections.abc import Callable

from benchmarks import bench_geometry, bench_hang, bench_lay, bench_reading, bench_redraft, bench_sheets, bench_start
from benchmarks.timing import Row, ms


def of_geometry() -> list[Row]:
    """Return the kernel's rows: how near, and how quick against plain Python."""
    length_bar, offset_bar = bench_geometry.LENGTH_BAR, bench_geometry.OFFSET_BAR
    lengths = max(bench_geometry.parabola_error(), bench_geometry.turning_back_error())
    strays = bench_geometry.offset_error()
    (_, batch, rival), *others = bench_geometry.speeds()
    assert rival is not None
    times, cut = rival / batch, others[1][1]
    return [
        Row("arc length against closed forms", f"{length_bar} mm", f"{lengths:.1e} mm", lengths <= length_bar),
        Row("offset against shapely's buffer", f"{offset_bar} mm", f"{strays:.1e} mm", strays <= offset_bar),
        Row(
            "lengths of a piece's curves, one batch",
            f"{bench_geometry.RATIO_BAR:.0f} times",
            f"{batch * 1e6:.0f} µs",
            times >= bench_geometry.RATIO_BAR,
            f"curve by curve {rival * 1e6:.0f} µs: {times:.1f} times",
        ),
        Row("cut line of a 20-curve piece", "none", f"{cut * 1e3:.2f} ms", True),
    ]


def of_sheets() -> list[Row]:
    """Return the row of 45 tiles and more, and the general PDF canvas beside it where one is installed."""
    from onfold.sheets import SheetFacts, tile, tiles_pdf
    from tests.synthetic import many_pieces

    pattern, facts = many_pieces(10), SheetFacts(title="Many panels", wearer="alto-1", date="2026-11-02")
    tiles = tile(pattern, facts)
    seconds, size = bench_sheets.timed(lambda: tiles_pdf(tiles, pattern, facts))
    count = len(tiles.grid.tiles)
    reached = seconds <= bench_sheets.BAR_SECONDS and size <= bench_sheets.BAR_BYTES and count >= 45
    try:
        taken, weight = bench_sheets.timed(lambda: bench_sheets.by_canvas(tiles, True), runs=3)
        beside = f"reportlab {ms(taken)}, {weight / 1000:.0f} kB: {taken / seconds:.1f} times"
    except ImportError:
        beside = "not compared: reportlab is not installed"
    bar = f"{ms(bench_sheets.BAR_SECONDS)}, {bench_sheets.BAR_BYTES // 1000} kB"
    return [Row(f"{count} tiles as PDF", bar, f"{ms(seconds)}, {size / 1000:.0f} kB", reached, beside)]


PARTS: tuple[Callable[[], list[Row]], ...] = (
    bench_start.rows,
    bench_reading.rows,
    bench_redraft.rows,
    of_geometry,
    of_sheets,
    bench_lay.rows,
    bench_hang.rows,
)


def table(rows: list[Row]) -> str:
    """Return the rows in columns."""
    cells = [("what", "bar", "measured", "", "rival")]
    cells += [(row.what, row.bar, row.measured, "" if row.reached else "MISSED", row.rival) for row in rows]
    wide = [max(len(row[at]) for row in cells) for at in range(5)]
    return "\n".join("  ".join(cell.ljust(wide[at]) for at, cell in enumerate(row)).rstrip() for row in cells)


def main() -> int:
    """Print the table; return 1 where a bar is missed."""
    rows = [row for part in PARTS for row in part()]
    print(table(rows))
    missed = sum(not row.reached for row in rows)
    print(f"\n{missed} of {len(rows)} bars missed." if missed else f"\nAll {len(rows)} bars reached.")
    return int(missed > 0)


if __name__ == "__main__":
    sys.exit(main())
