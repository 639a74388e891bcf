"""Widths of text in the two type families, for placing labels without a browser."""

from __future__ import annotations

from collections.abc import Iterator
from enum import StrEnum


class Face(StrEnum):
    """The faces the drawing writes in."""

    HEAD = "vollkorn-600"
    TOOL = "barlow-400"
    TOOL_HEAVY = "barlow-600"


# Advance widths of the characters from space to tilde, in thousandths of the type size, as they
# stand in the font files that portal.core.fonts makes.
_ADVANCES: dict[Face, str] = {
    Face.HEAD: (
        "200 411 365 602 556 863 762 216 311 311 464 550 277 419 265 377 610 556 556 556 603 "
        "556 556 556 556 556 265 281 550 550 550 537 998 708 652 647 733 615 579 721 769 371 "
        "350 707 586 953 732 741 617 741 695 556 628 682 693 997 687 631 617 285 388 285 550 "
        "550 300 527 580 459 592 497 374 535 631 333 300 583 324 936 635 556 609 579 453 449 "
        "366 593 546 781 549 553 506 358 183 358 550"
    ),
    Face.TOOL: (
        "200 319 263 659 559 848 658 132 261 261 397 500 264 394 278 400 565 350 536 515 551 "
        "514 515 473 521 521 339 311 500 500 500 461 827 607 627 607 618 605 568 613 654 259 "
        "577 611 568 715 676 622 592 576 612 584 569 648 589 878 589 567 549 380 400 380 450 "
        "484 195 511 546 520 546 533 356 535 539 255 245 501 230 827 539 545 552 552 364 481 "
        "364 536 475 721 477 461 445 302 166 302 501"
    ),
    Face.TOOL_HEAVY: (
        "200 335 325 677 567 833 688 155 316 316 398 491 265 404 273 447 568 353 551 531 585 "
        "530 529 488 533 527 355 314 491 491 491 500 821 648 622 608 618 592 563 613 637 262 "
        "581 620 571 715 669 621 595 587 613 591 579 636 610 878 616 599 554 403 447 403 465 "
        "509 219 522 559 531 559 541 376 549 544 255 251 522 239 829 544 556 563 563 376 493 "
        "374 541 504 761 516 489 455 350 190 350 522"
    ),
}
_WIDTHS = {face: [int(text) for text in row.split()] for face, row in _ADVANCES.items()}
# Anything else, accents and fractions included, is taken as wide as a wide letter.
_UNKNOWN = {"·": 226, "’": 270, "½": 900, "¼": 900, "¾": 900, "\u00a0": 200, "²": 375}


def text_width(text: str, size: float, face: Face) -> float:
    """Width of one line of text, in the unit of the type size."""
    widths = _WIDTHS[face]
    thousandths = 0
    for character in text:
        place = ord(character) - 32
        thousandths += widths[place] if 0 <= place < len(widths) else _UNKNOWN.get(character, 620)
    return thousandths * size / 1000


def wrapped(text: str, size: float, face: Face, width: float) -> Iterator[str]:
    """Lines of at most this width; a word that is longer alone stays whole."""
    line = ""
    for word in text.split(" "):
        longer = f"{line} {word}" if line else word
        if line and text_width(longer, size, face) > width:
            yield line
            line = word
        else:
            line = longer
    if line:
        yield line
