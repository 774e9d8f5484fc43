"""Drafting rules of the trouser block: one function per rule, each with its source. All in cm.

BLOCK stands for the basic trouser block in "Practical English for Garments" (3rd ed., part 3;
the page is cited in sources 2.1), re-worded.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Ease:
    """What is added to the body, cm: round the waist, hip, thigh and knee, and in the crotch.

    ``rise`` lowers the crotch line, ``crotch_front`` and ``crotch_back`` are added to the crotch
    length before and behind the fork, ``thigh`` is the least by which the leg at the crotch line
    exceeds the thigh, ``fork`` the constant of the front extension, and the leg narrows to
    ``hem_share`` of the hip plus ``hem_more``. The back's crotch curve may begin ``seat_above`` of
    the way from hip line to waist seam.
    """

    waist: float
    hip: float
    thigh: float
    knee: float
    rise: float
    crotch_front: float
    crotch_back: float
    fork: float
    hem_share: float
    hem_more: float
    seat_above: float


EASES = {
    "slim": Ease(0.5, 2.0, 4.0, 4.0, 0.0, 0.4, 0.6, 0.0, 0.36, 0.0, 0.0),
    "regular": Ease(1.0, 4.0, 6.0, 8.0, 0.5, 0.6, 0.9, 0.5, 0.40, 4.0, 0.25),
    "loose": Ease(1.5, 10.0, 9.0, 12.0, 1.5, 1.8, 1.5, 1.0, 0.40, 10.0, 0.25),
}
"""Ease by fit.

Regular: hip 4 and waist 1 as in BLOCK. Slim and loose: the classes "close" (0-6) and "fairly
close" (6-12) of sources 2.2; rise 0-2, crotch 1-2.5, thigh 4-8, knee 4 or more of sources 2.5
and 3.4 (from memory, of tailored trousers); half hem 0.2 H to 0.2 H + 5 of sources 2.2 for
regular and loose. 0.4 of the crotch's is in front, for the seat needs more (common practice).
But loose has 1.8 there: BLOCK draws the centre front level with the side, and so much do a crotch
line lower by 1.5 and an extension longer by 0.5 take of it, before the centre front of BLOCK's
own figure stands as near to level as in the regular fit. With 1.0 it stood 1.1 under the side, and
the leg hung to the front (docs/validation/drape_drafts.md).

BLOCK's crotch curve begins above the hip line. Each half then loses 0.8 over the seat, 4 above
the hip line: more than slim trousers have to give there, so their seat line is straight down to
the hip line, as the tailor's seat lines of sources 2.2 are.
"""

INSEAM_STRETCH = 0.5
"""By how much the back inseam is shorter than the front one between fork and thigh.

It is stretched to match when pressed, which keeps the back thigh clean: 0.5 to 1 in a tailored
drop (sources 3.4, from memory)."""


def front_extension(hip_girth: float, fork: float) -> float:
    """Front crotch extension beyond the centre front: hip / 16 + ``fork`` (BLOCK: 0.5)."""
    return hip_girth / 16.0 + fork


def back_extension(hip_girth: float, front: float) -> float:
    """Back extension from the seat line.

    BLOCK: the fork lies half the front extension beyond the front's, and the seat line starts a
    quarter of the crease's distance (hip / 12 + 1.5) inside the centre front.
    """
    return 1.5 * front + (hip_girth / 12.0 + 1.5) / 4.0


def extension_for_thigh(leg: float, thigh_girth: float, ease: float) -> float:
    """What both extensions together must gain so that the leg clears the thigh.

    ``leg`` is the width of front and back together at the crotch line. The thigh decides where
    it is full for the hip; a thigh that is slight changes nothing (sources 3.2: add at the
    inseam for a tight thigh; common practice).
    """
    return max(0.0, thigh_girth + ease - leg)


def knee_height(crotch: float) -> float:
    """Height of the knee line over the floor, from the crotch line's: half of it and 5 (BLOCK)."""
    return crotch / 2.0 + 5.0


def crease_from_middle() -> float:
    """The crease stands this much nearer to the side than the middle of the crotch line.

    BLOCK: hip / 12 + 1.5 from the centre front, which at hip 94 is 0.52 off the middle of the
    front and 0.44 off the middle of the back.
    """
    return 0.5


def hem_round(hip_girth: float, ankle_girth: float, ease: Ease) -> float:
    """Hem round the leg when none is asked for: a share of the hip, and room for the heel.

    Source: half hem 0.2 H to 0.2 H + 5 (sources 2.2); round heel and instep is about 1.45 times
    the ankle (common practice, from memory).
    """
    return max(ease.hem_share * hip_girth + ease.hem_more, heel_passes(ankle_girth))


def heel_passes(ankle_girth: float) -> float:
    """Least hem that passes over heel and instep: 1.45 times the ankle (common practice)."""
    return 1.45 * ankle_girth


def knee_round(hem: float, straight: float, hip_girth: float, need: float) -> float:
    """Knee round the leg: 1.3 wider than the hem at each of the four edges.

    BLOCK: 1.3, in larger sizes 1.5 and 1.7; here it grows evenly from hip 98 to 128. A wide leg
    falls straight instead, at the most ``straight`` round the knee; never less than ``need``.
    """
    edge = min(1.7, max(1.3, 1.3 + (hip_girth - 98.0) * 0.4 / 30.0))
    return max(min(hem + 4.0 * edge, straight), need)


def straight_leg(thigh: float, hem: float, part: float) -> float:
    """Width at ``part`` of the way from hem to crotch line when the leg's edges run straight."""
    return hem + (thigh - hem) * part


def front_leg_share() -> float:
    """The front is narrower than a quarter by this much at each edge of knee and hem, the back
    wider by as much (BLOCK: back 1 wider than the front at each edge)."""
    return 0.5


def side_waist(waist_to_hip: float, depth: float) -> float:
    """How high the side seam's waist end stands over the hip line: waist to hip, less the depth of
    a lowered waist (BLOCK: 20.6).

    The seam curves in and so is longer than the tape over the hip, by 0.3 in BLOCK: cloth with ease
    stands off the hip where the tape lies on it. With a seam only as long as the tape the side is
    short against the centres, and legs swing out (docs/validation/drape_drafts.md).
    """
    return waist_to_hip - depth


def front_centre_in(intake: float) -> float:
    """How far the centre front goes in at the waist; BLOCK: 1 of an intake of 6.75.

    ``intake`` is hip width less waist width of the front; a full belly (intake below 0) puts the
    centre out by at most 0.5.
    """
    return min(1.2, max(-0.5, intake * 4.0 / 27.0))


FRONT_SIDE_MOST = 4.5
"""What the front side seam may go in from hip to waist; beyond it stands off (BLOCK: 3.75)."""


def front_darts(intake: float, centre_in: float) -> tuple[float, ...]:
    """Front darts, side to centre: 0.3 of the intake (BLOCK: 2 of 6.75), none under 0.8.

    Where the side would go in by more than ``FRONT_SIDE_MOST`` the darts take the rest, as two
    once one would be wider than 2.5 (sources 3.3: about 2 each, from memory).
    """
    dart = max(0.3 * intake, intake - centre_in - FRONT_SIDE_MOST)
    if dart < 0.8:
        return ()
    return (dart,) if dart <= 2.5 else (dart / 2.0,) * 2


def back_side_in(intake: float) -> float:
    """How far the back side goes in at the waist: 0.24 of the intake (BLOCK: 1.84 of 7.75)."""
    return min(3.5, max(-2.0, 0.24 * intake))


def back_darts(left: float) -> tuple[float, ...]:
    """Back darts, from the side to the centre: none under 1, one up to 3, else two alike.

    BLOCK: two of 2; at most 3 each (sources 3.3, from memory).
    """
    if left < 1.0:
        return ()
    if left <= 3.0:
        return (left,)
    return (min(3.0, left / 2.0),) * 2


def dart_lengths(side_top: float) -> tuple[float, float]:
    """Front (and outer back) and inner back dart length from the side seam hip to waist.

    BLOCK: 10 and 12 of 20.6; they shorten with a lowered waist.
    """
    return 0.485 * side_top, 0.583 * side_top


def seat_angle(raise_: float, width: float) -> float:
    """Tangent of the seat line's slope from the raise of the back waist over the side waist.

    A straight waist stands square to the seat line (sources 3.4), so a seat that needs a longer
    back line gets the slope with it: raise over width. BLOCK: 2 in 16. Held between 3.5 and 13
    degrees (sources 2.2: 9.5 to 13 and 15 in other drafts).
    """
    return min(0.231, max(0.061, raise_ / width))
