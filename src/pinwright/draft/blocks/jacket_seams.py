"""How the jacket's pieces are sewn: seams, run-throughs, finished measures and places."""

from __future__ import annotations

from collections.abc import Mapping

from pinwright.draft.blocks.jacket import SHOULDER_EASE, JacketPlan
from pinwright.draft.blocks.sleeve import SHARE_BACK, ArmholeLengths, SleeveDraft
from pinwright.pattern.garment import PlaceEdge
from pinwright.pattern.piece import Piece
from pinwright.pattern.seam import (
    Corner,
    Give,
    Junction,
    Ref,
    Seam,
    Station,
    Stretch,
    Target,
    Width,
)


def armhole_lengths(front: Piece, back: Piece) -> ArmholeLengths:
    """Sewn lengths of the armhole between underarm, notches and shoulder, cm."""

    def parts(piece: Piece, notch: str) -> tuple[float, float]:
        hole = piece.edge("armhole")
        run, count = hole.stations[notch]
        low = sum(r.length for r in hole.runs[:run]) + hole.runs[run].cumulative[count]
        return low, hole.length - low

    front_low, front_high = parts(front, "front_notch")
    back_low, back_high = parts(back, "back_notch")
    return ArmholeLengths(front_low, front_high, back_high, back_low)


def block_seams(p: JacketPlan, s: SleeveDraft) -> tuple[Seam, ...]:
    """The seams of front, back and sleeve. Every run goes as its stations are listed."""
    low, high = p.cap_ease
    none = Stretch(0.0, 0.0, 0.0)
    front_ease = Stretch(s.ease_front, low * (1 - SHARE_BACK), high * (1 - SHARE_BACK))
    back_ease = Stretch(s.ease_back, low * SHARE_BACK, high * SHARE_BACK)
    return (
        Seam(
            "side",
            "plain",
            (Ref("front", "side"),),
            (Ref("back", "side"),),
            (
                Station("hem", "hem_side", "hem_side"),
                Station("hip", "hip", "hip", 1),
                Station("waist", "waist", "waist", 1),
                Station("underarm", "underarm", "underarm"),
            ),
            (none, none, none),
            anchor="waist",
            gives=(Give("b", "end", 1), Give("b", "start", 1)),
            title="side seam",
        ),
        shoulder_seam(),
        Seam(
            "sleeve_under",
            "plain",
            (Ref("sleeve", "under_front"),),
            (Ref("sleeve", "under_back", reverse=True),),
            (
                Station("hem", "hem_front", "hem_back"),
                Station("elbow", "under_front:elbow", "under_back:elbow", 1),
                Station("underarm", "underarm_front", "underarm_back"),
            ),
            (none, none),
            anchor="elbow",
            gives=(Give("b", "end", 1), Give("b", "start", 1)),
            title="sleeve seam",
        ),
        Seam(
            "armhole",
            "cap",
            (Ref("sleeve", "cap"),),
            (Ref("front", "armhole"), Ref("back", "armhole", reverse=True)),
            (
                Station("underarm_front", "underarm_front", "front.underarm"),
                Station("front_notch", "front_notch", "front_notch", 1),
                Station("shoulder", "shoulder", "front.shoulder_tip", 1),
                Station("back_notch", "back_notch", "back_notch", 2),
                Station("underarm_back", "underarm_back", "back.underarm"),
            ),
            (none, front_ease, back_ease, none),
            anchor="shoulder",
            gives=(Give("a", "start", 1), Give("a", "end", 1)),
            title="armhole",
        ),
    )


def shoulder_seam(upper: str = "back") -> Seam:
    """The shoulder seam from the neck point out; ``upper`` is the back or the yoke.

    The back is longer by ease that is held in (0.3 to 1.0, sources 3.4).
    """
    return Seam(
        "shoulder",
        "plain",
        (Ref("front", "shoulder", reverse=True),),
        (Ref(upper, "shoulder", reverse=True),),
        (
            Station("neck_point", "neck_point", "neck_point"),
            Station("shoulder_tip", "shoulder_tip", "shoulder_tip"),
        ),
        (Stretch(-SHOULDER_EASE, -1.0, -0.3),),
        anchor="neck_point",
        gives=(Give("b", "end", 1),),
        title="shoulder seam",
    )


def block_junctions(upper: str = "back") -> tuple[Junction, ...]:
    """Where net lines run through; ``upper`` is the piece that has the back's neck and shoulder."""
    return (
        Junction(
            "armhole across the shoulder",
            Corner("front", "armhole", "shoulder"),
            Corner(upper, "armhole", "shoulder"),
        ),
        Junction(
            "neck across the shoulder",
            Corner("front", "neck", "shoulder"),
            Corner(upper, "neck", "shoulder"),
        ),
        Junction(
            "armhole across the side seam",
            Corner("front", "armhole", "side"),
            Corner("back", "armhole", "side"),
        ),
        Junction(
            "hem across the side seam",
            Corner("front", "hem", "side"),
            Corner("back", "hem", "side"),
        ),
        Junction("back neck at the centre", Corner(upper, "neck", "centre"), angle=90.0),
        Junction("back hem at the centre", Corner("back", "hem", "centre"), angle=90.0),
        Junction("hem at the front edge", Corner("front", "hem", "front_edge"), angle=90.0),
        Junction(
            "cap across the sleeve seam",
            Corner("sleeve", "cap", "under_front"),
            Corner("sleeve", "cap", "under_back"),
        ),
        Junction(
            "sleeve hem across the sleeve seam",
            Corner("sleeve", "hem", "under_front"),
            Corner("sleeve", "hem", "under_back"),
        ),
    )


def block_targets(p: JacketPlan, pieces: Mapping[str, Piece]) -> tuple[Target, ...]:
    """The jacket's finished measures as drafted.

    Each ease is what the draft really gives over the body, twice the button stand included,
    since widths are measured to the front edge. The bust is measured at the mouth of the bust
    dart, or at the underarm where that mouth lies low.
    """
    low = p.bust_dart == "side_seam_low"
    at, bust = ("underarm_level", "underarm") if low else ("bust", "bust")
    return (
        _target(
            "bust",
            "bust_girth",
            p.bust,
            (
                Width("front", f"front_edge:{at}", f"side:{bust}"),
                Width("back", f"centre:{at}", f"side:{bust}"),
            ),
            pieces,
        ),
        _target(
            "waist",
            "waist_girth",
            p.waist,
            (
                Width("front", "front_edge:waist", "side:waist"),
                Width("back", "centre:waist", "side:waist"),
            ),
            pieces,
        ),
        _target(
            "hip",
            "hip_girth",
            p.hip,
            (Width("front", "front_edge:hip", "side:hip"), Width("back", "centre:hip", "side:hip")),
            pieces,
        ),
        _target(
            "back_length",
            "back_waist_length",
            p.back_length,
            (Width("back", "centre:neck_centre", "centre:waist"),),
            pieces,
            1.0,
        ),
        _target(
            "sleeve_length",
            "arm_length",
            p.arm,
            (Width("sleeve", "cap:shoulder", "hem:hem_centre"),),
            pieces,
            1.0,
        ),
        _target(
            "upper_arm",
            "upper_arm_girth",
            p.upper_arm,
            (Width("sleeve", "cap:underarm_back", "cap:underarm_front"),),
            pieces,
            1.0,
        ),
        _target(
            "sleeve_hem",
            "wrist_girth",
            p.wrist,
            (Width("sleeve", "hem:hem_back", "hem:hem_front"),),
            pieces,
            1.0,
        ),
    )


def _target(
    name: str,
    measure: str,
    body: float,
    parts: tuple[Width, ...],
    pieces: Mapping[str, Piece],
    factor: float = 2.0,
) -> Target:
    drawn = factor * sum(
        float(((pieces[w.piece].point(w.start) - pieces[w.piece].point(w.end)) ** 2).sum() ** 0.5)
        for w in parts
    )
    return Target(name, measure, body, drawn - body, parts, factor)


def block_places(bust_dart_edge: str) -> dict[str, tuple[PlaceEdge, ...]]:
    """The places on the figure and the edges they fall on."""
    armhole = (PlaceEdge("front", "front", "armhole"), PlaceEdge("back", "back", "armhole"))
    front_neck, back_neck = PlaceEdge("front", "front", "neck"), PlaceEdge("back", "back", "neck")
    return {
        "side_seam": (PlaceEdge("front", "front", "side"), PlaceEdge("back", "back", "side")),
        "shoulder_seam": (
            PlaceEdge("front", "front", "shoulder"),
            PlaceEdge("back", "back", "shoulder"),
        ),
        "armhole": armhole,
        "front_neck": (front_neck,),
        "back_neck": (back_neck,),
        "neckline": (front_neck, back_neck),
        "jacket_hem": (PlaceEdge("front", "front", "hem"), PlaceEdge("back", "back", "hem")),
        "sleeve_hem": (PlaceEdge("sleeve", "sleeve", "hem"),),
        "sleeve_seam": (
            PlaceEdge("front", "sleeve", "under_front"),
            PlaceEdge("back", "sleeve", "under_back"),
        ),
        "centre_back": (PlaceEdge("back", "back", "centre"),),
        "bust_dart": (PlaceEdge("front", "front", bust_dart_edge),),
        "shoulder_dart": (PlaceEdge("back", "back", "shoulder"),),
        "cap": (PlaceEdge("sleeve", "sleeve", "cap"),),
    }
