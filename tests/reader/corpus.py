"""Lines of a fitting notebook, as various cutters would write or dictate them, with the reading.

Written before the reader. Lines are invented. A proposal is written
``kind place side amount meant_as option=value @garment pins=in``; cm; + and − as in the
vocabulary of corrections. ``g`` says which garments the order has (T trousers, J jacket).
"""

from __future__ import annotations

from dataclasses import dataclass

GARMENTS = {"T": ("trousers",), "J": ("jacket",), "TJ": ("trousers", "jacket")}


@dataclass(frozen=True)
class Line:
    """One line of a notebook and how it has to be read."""

    text: str
    status: str
    proposals: tuple[str, ...] = ()  # after the answers, for a question
    asks: tuple[str, ...] = ()  # "about:choice,choice" in the order asked
    answers: tuple[str, ...] = ()
    observed: tuple[str, ...] = ()  # what the observations are about, in order
    unread: tuple[str, ...] = ()  # words that must be listed as not used
    g: str = "TJ"
    unit: str = "cm"


def U(text: str, *proposals: str, g: str = "TJ", obs: str = "", unit: str = "cm") -> Line:
    """Understood."""
    return Line(text, "understood", proposals, observed=tuple(obs.split()), g=g, unit=unit)


def Q(text: str, asks: str, answers: str, *proposals: str, g: str = "TJ", obs: str = "") -> Line:
    """A question; ``asks`` and ``answers`` in the order asked, separated by spaces."""
    return Line(
        text,
        "question",
        proposals,
        tuple(asks.split()),
        tuple(answers.split()),
        observed=tuple(obs.split()),
        g=g,
    )


def O(text: str, about: str = "fit", g: str = "TJ") -> Line:  # noqa: E743
    """Seen or said, nothing to change by an amount."""
    return Line(text, "observation", observed=tuple(about.split()), g=g)


def K(text: str, *unread: str, g: str = "TJ") -> Line:
    """Kept as text: not understood, and said so."""
    return Line(text, "kept", unread=unread, g=g)


PAIR_IN = "meant_as:fold,removed,edge,girth"
ONE_IN = "meant_as:fold,removed,edge"
PAIR_OUT = "meant_as:removed,edge,girth"
ONE_OUT = "meant_as:removed,edge"
WHICH = "garment:trousers,jacket"

FIRST: tuple[Line, ...] = (
    # --- the issue's own examples
    U(
        "bust dart +1 both, waist stays",
        "bust_dart_intake bust_dart both +1 intake keep=waist @jacket",
    ),
    Q(
        "hem R up 1.5 L up 1",
        WHICH,
        "trousers",
        "hem trouser_hem right -1.5 level @trousers",
        "hem trouser_hem left -1 level @trousers",
    ),
    U(
        "hem R up 1.5 L up 1",
        "hem trouser_hem right -1.5 level @trousers",
        "hem trouser_hem left -1 level @trousers",
        g="T",
    ),
    U("pocket opening 1.5 deeper", "pocket_move side_pocket both +1.5 level @trousers", g="T"),
    Q(
        "pocket opening 1.5 deeper",
        WHICH,
        "jacket",
        "pocket_move patch_pocket both +1.5 level @jacket",
    ),
    Q(
        "more room over seat, 2 from the side seams",
        "meant_as:edge,removed,girth",
        "girth",
        "fullness over_seat both +2 girth via=side_seam @trousers",
        g="T",
    ),
    Q(
        "more room over seat, 2 from the side seams",
        f"{WHICH} meant_as:edge,removed,girth",
        "trousers removed",
        "fullness over_seat both +4 girth via=side_seam @trousers",
    ),
    # --- bust dart
    U(
        "bust dart 1 deeper both, waist stays",
        "bust_dart_intake bust_dart both +1 intake keep=waist @jacket",
    ),
    U("R bust dart 0.5 deeper", "bust_dart_intake bust_dart right +0.5 intake @jacket"),
    U("Bust dart L half a cm deeper.", "bust_dart_intake bust_dart left +0.5 intake @jacket"),
    U("bust darts shallower by 1/2", "bust_dart_intake bust_dart both -0.5 intake @jacket"),
    U("bust dart L - 0,5 shallower", "bust_dart_intake bust_dart left -0.5 intake @jacket"),
    U("bust dart -0.5 L", "bust_dart_intake bust_dart left -0.5 intake @jacket"),
    U("bust dart 1.5 longer", "bust_dart_length bust_dart both +1.5 length @jacket"),
    U("shorten R bust dart 1", "bust_dart_length bust_dart right -1 length @jacket"),
    U(
        "bust dart R 1 deeper, 0.5 longer",
        "bust_dart_intake bust_dart right +1 intake @jacket",
        "bust_dart_length bust_dart right +0.5 length @jacket",
    ),
    U(
        "bust dart R +1 L +1,5",
        "bust_dart_intake bust_dart right +1 intake @jacket",
        "bust_dart_intake bust_dart left +1.5 intake @jacket",
    ),
    U("bust dart mouth 2 up the side seam", "bust_dart_direction bust_dart both +2 length @jacket"),
    U("mouth of bust dart down 1.5", "bust_dart_direction bust_dart both -1.5 length @jacket"),
    Q(
        "bust dart 1 both",
        "direction:more,less",
        "more",
        "bust_dart_intake bust_dart both +1 intake @jacket",
    ),
    U("bust dart pinned 1 fold R", "bust_dart_intake bust_dart right +1 fold @jacket"),
    U(
        "take 1 more into the bust dart, both sides",
        "bust_dart_intake bust_dart both +1 intake @jacket",
    ),
    U("let out bust dart 0.5 left", "bust_dart_intake bust_dart left -0.5 intake @jacket"),
    U(
        "jacket: bust dart deeper a cm and a half",
        "bust_dart_intake bust_dart both +1.5 intake @jacket",
    ),
    K("bust dart +1", "+1", g="T"),
    # --- shoulder and waist darts
    U("shoulder dart +0.5 both", "shoulder_dart_intake shoulder_dart both +0.5 intake @jacket"),
    U("L shoulder dart half deeper", "shoulder_dart_intake shoulder_dart left +0.5 intake @jacket"),
    U("shoulder darts 3 mm less", "shoulder_dart_intake shoulder_dart both -0.3 intake @jacket"),
    U(
        "front waist dart 0.5 deeper",
        "waist_dart_intake front_waist_dart both +0.5 intake @trousers",
    ),
    U("back waist darts +1 R", "waist_dart_intake back_waist_dart right +1 intake @trousers"),
    U(
        "back darts at waist let out 0.5",
        "waist_dart_intake back_waist_dart both -0.5 intake @trousers",
        g="T",
    ),
    Q(
        "waist darts 0.5 deeper",
        "place:front_waist_dart,back_waist_dart,both",
        "back_waist_dart",
        "waist_dart_intake back_waist_dart both +0.5 intake @trousers",
    ),
    U(
        "front waist dart -0.5, back waist dart +0.5",
        "waist_dart_intake front_waist_dart both -0.5 intake @trousers",
        "waist_dart_intake back_waist_dart both +0.5 intake @trousers",
    ),
    # --- side seams, meanings said
    U("take in side seams 1 per edge", "let_out side_seam both -1 edge @jacket", g="J"),
    U("side seams in 1 each edge", "let_out side_seam both -1 edge @trousers", g="T"),
    U("SS in 0.5 per edge", "let_out side_seam both -0.5 edge @trousers", g="T"),
    U("jacket SS let out 1 per seam", "let_out side_seam both +1 removed @jacket"),
    U("trousers: take in SS 2 off the girth", "let_out side_seam both -2 girth @trousers"),
    U("pinned 1 fold at each side seam", "let_out side_seam both -1 fold @jacket", g="J"),
    U("1 cm fold pinned at R side seam", "let_out side_seam right -1 fold @trousers", g="T"),
    U("fold depth 1 at side seam L", "let_out side_seam left -1 fold @jacket", g="J"),
    U("1 out per seam at the side seams", "let_out side_seam both -1 removed @jacket", g="J"),
    U("jacket side seam R let out 1.5 in all", "let_out side_seam right +1.5 removed @jacket"),
    U("jacket side seams -1 per edge", "let_out side_seam both -1 edge @jacket"),
    U("trousers side seams +0.5 per edge", "let_out side_seam both +0.5 edge @trousers"),
    U(
        "trouser SS R in 1 fold, L in half fold",
        "let_out side_seam right -1 fold @trousers",
        "let_out side_seam left -0.5 fold @trousers",
    ),
    U(
        "take in side seams 1 per edge from waist to nothing at hip",
        "let_out side_seam both -1 edge from=waist to=hip shape=taper @trousers",
        g="T",
    ),
    U(
        "take in side seam R 1 fold from underarm to waist",
        "let_out side_seam right -1 fold from=underarm to=waist @jacket",
    ),
    U(
        "side seams below the knee in 1.5 per edge",
        "let_out side_seam both -1.5 edge from=knee to=hem @trousers",
    ),
    U(
        "back side seam above waist, take in 0.5 per edge R",
        "let_out side_seam right -0.5 edge part=back from=underarm to=waist @jacket",
        g="J",
    ),
    U(
        "trouser side seam L front only let out 1 per edge",
        "let_out side_seam left +1 edge part=front @trousers",
    ),
    # --- side seams, meanings not said
    Q("jacket side seams in 1", PAIR_IN, "fold", "let_out side_seam both -1 fold @jacket"),
    Q(
        "take in side seam R 1",
        ONE_IN,
        "removed",
        "let_out side_seam right -1 removed @trousers",
        g="T",
    ),
    Q("let out side seams 1", PAIR_OUT, "girth", "let_out side_seam both +1 girth @jacket", g="J"),
    Q(
        "take in side seams 1",
        f"{WHICH} {PAIR_IN}",
        "jacket edge",
        "let_out side_seam both -1 edge @jacket",
    ),
    Q("nip side seams half", PAIR_IN, "fold", "let_out side_seam both -0.5 fold @jacket", g="J"),
    Q("side seam L pinned 1", ONE_IN, "fold", "let_out side_seam left -1 fold @trousers", g="T"),
    Q(
        "take in SS 2 in all",
        "meant_as:removed,girth",
        "girth",
        "let_out side_seam both -2 girth @trousers",
        g="T",
    ),
    Q(
        "R SS in 1, L SS in 0.5",
        f"{ONE_IN} {ONE_IN}",
        "fold edge",
        "let_out side_seam right -1 fold @trousers",
        "let_out side_seam left -0.5 edge @trousers",
        g="T",
    ),
    Q(
        "side seams 1 per edge",
        "direction:more,less",
        "less",
        "let_out side_seam both -1 edge @jacket",
        g="J",
    ),
    Q(
        "side seams 1 out",
        f"direction:more,less {PAIR_OUT}",
        "more removed",
        "let_out side_seam both +1 removed @jacket",
        g="J",
    ),
    Q(
        "side seams 1 in per edge",
        "unit:taken_in,inch",
        "taken_in",
        "let_out side_seam both -1 edge @jacket",
        g="J",
    ),
    # --- other seams
    U("CB in 1 fold from waist", "let_out centre_back both -1 fold from=waist @jacket", g="J"),
    U("jacket CB let out 0.5 per edge", "let_out centre_back both +0.5 edge @jacket"),
    Q(
        "jacket CB 1 in at waist",
        "unit:taken_in,inch " + ONE_IN,
        "taken_in removed",
        "let_out centre_back both -1 removed from=waist @jacket",
    ),
    Q(
        "take in CB 1",
        f"{WHICH} {ONE_IN}",
        "trousers fold",
        "let_out seat_seam both -1 fold @trousers",
    ),
    U(
        "CB seam take in 1 per edge, from waist to nothing at hip",
        "let_out seat_seam both -1 edge from=waist to=hip shape=taper @trousers",
        g="T",
    ),
    U("inseam +1 per edge", "let_out inseam both +1 edge @trousers"),
    U(
        "inside leg seam let out 1 per edge, back only",
        "let_out inseam both +1 edge part=back @trousers",
    ),
    Q(
        "inseam R take in 0.5 from knee to hem",
        ONE_IN,
        "edge",
        "let_out inseam right -0.5 edge from=knee to=hem @trousers",
    ),
    Q(
        "seat seam out 1 per edge",
        "direction:more,less",
        "more",
        "let_out seat_seam both +1 edge @trousers",
    ),
    U("let out seat seam 1 per edge", "let_out seat_seam both +1 edge @trousers"),
    U("let seat seam out 1/2 per edge", "let_out seat_seam both +0.5 edge @trousers"),
    U("front crotch seam in 0.5 per edge", "let_out front_crotch_seam both -0.5 edge @trousers"),
    U("shoulder seam R fold 1", "let_out shoulder_seam right -1 fold @jacket"),
    Q(
        "pick up R shoulder seam 0.5",
        ONE_IN,
        "fold",
        "let_out shoulder_seam right -0.5 fold @jacket",
    ),
    U("let out L shoulder seam 0.5 per edge", "let_out shoulder_seam left +0.5 edge @jacket"),
    U("sleeve seam in 1 per edge both", "let_out sleeve_seam both -1 edge @jacket"),
    Q(
        "take in sleeve seams 1",
        "meant_as:fold,removed,edge",
        "removed",
        "let_out sleeve_seam both -1 removed @jacket",
    ),
    U(
        "take in CB 0.5 fold and SS 1 fold",
        "let_out centre_back both -0.5 fold @jacket",
        "let_out side_seam both -1 fold @jacket",
        g="J",
    ),
    Q(
        "waist in 2",
        "place:side_seam,centre_back meant_as:fold,removed,edge,girth",
        "side_seam girth",
        "let_out side_seam both -2 girth from=waist @jacket",
        g="J",
    ),
    # --- pins
    U(
        "shoulder seam fold 1 R, hem up 2 read with the pins in",
        "let_out shoulder_seam right -1 fold @jacket",
        "hem jacket_hem both -2 level pins=in @jacket",
        g="J",
    ),
    Q(
        "shoulder fold 1 pinned, hem then up 2",
        "pins:in,before",
        "before",
        "let_out shoulder_seam both -1 fold @jacket",
        "hem jacket_hem both -2 level pins=before @jacket",
        g="J",
    ),
    U("jacket hem up 2, before pinning", "hem jacket_hem both -2 level pins=before @jacket"),
    # --- hems
    U("trouser hem up 1.5", "hem trouser_hem both -1.5 level @trousers"),
    U("trousers hem down 5/8 in", "hem trouser_hem both +1.5875 level @trousers"),
    U("jacket hem +2", "hem jacket_hem both +2 level @jacket"),
    U("hem up one and a half", "hem trouser_hem both -1.5 level @trousers", g="T"),
    U("raise hem 2", "hem jacket_hem both -2 level @jacket", g="J"),
    U("drop hem 1,5", "hem jacket_hem both +1.5 level @jacket", g="J"),
    U("let hem down 2", "hem trouser_hem both +2 level @trousers", g="T"),
    U("hem 1 shorter", "hem trouser_hem both -1 level @trousers", g="T"),
    U("hem 2 too long", "hem trouser_hem both -2 level @trousers", g="T"),
    U("trousers 1 too short", "hem trouser_hem both +1 level @trousers"),
    U("shorten trousers 2", "hem trouser_hem both -2 level @trousers"),
    U('take up the trouser hem 3/4"', "hem trouser_hem both -1.905 level @trousers"),
    U(
        "hem up 1 1/2 R, 1 L",
        "hem trouser_hem right -1.5 level @trousers",
        "hem trouser_hem left -1 level @trousers",
        g="T",
    ),
    U(
        "trouser hem: R up half, L down half",
        "hem trouser_hem right -0.5 level @trousers",
        "hem trouser_hem left +0.5 level @trousers",
    ),
    U("R trouser leg up 1", "hem trouser_hem right -1 level @trousers"),
    Q("hem up 2", WHICH, "jacket", "hem jacket_hem both -2 level @jacket"),
    Q("hem 2", "direction:more,less", "less", "hem trouser_hem both -2 level @trousers", g="T"),
    Q("hem +1 up", "direction:more,less", "less", "hem trouser_hem both -1 level @trousers", g="T"),
    U("jacket hem back up 1", "hem_level jacket_hem both 0 level back=-1 @jacket"),
    U(
        "jacket hem level: front down 1, back up 0.5, side as it is",
        "hem_level jacket_hem both 0 level back=-0.5 front=+1 keep=side @jacket",
    ),
    U("trouser hem 1 lower at back", "hem_level trouser_hem both 0 level back=+1 @trousers"),
    U("sleeve hem up 1 both", "hem sleeve_hem both -1 level @jacket"),
    U("cuffs down 0.5", "hem sleeve_hem both +0.5 level @jacket"),
    # --- sleeves
    U("shorten sleeves 2", "sleeve_length sleeve_hem both -2 level @jacket"),
    U("R sleeve 1 longer", "sleeve_length sleeve_hem right +1 level @jacket"),
    U("sleeve +1", "sleeve_length sleeve_hem both +1 level @jacket"),
    U("lengthen sleeves by 1.5 at the elbow", "sleeve_length elbow both +1.5 level @jacket"),
    U("sleeve L too long by 1", "sleeve_length sleeve_hem left -1 level @jacket"),
    U("pitch sleeves forward 1", "sleeve_pitch sleeve both +1 length @jacket"),
    U("R sleeve pitch 0.7 back", "sleeve_pitch sleeve right -0.7 length @jacket"),
    U("swing L sleeve forward half", "sleeve_pitch sleeve left +0.5 length @jacket"),
    U(
        "R sleeve: shorten 1, pitch forward 0.5",
        "sleeve_length sleeve_hem right -1 level @jacket",
        "sleeve_pitch sleeve right +0.5 length @jacket",
    ),
    # --- passing, neck
    U("pass the back up 1", "pass_back side_seam both +1 level @jacket", g="J"),
    U("jacket: pass back down 0.5 R", "pass_back side_seam right -0.5 level @jacket"),
    Q(
        "back passed up 1 at side seams",
        WHICH,
        "jacket",
        "pass_back side_seam both +1 level @jacket",
    ),
    U("neck point out 0.5", "neck_point neck_point both +0.5 length @jacket"),
    U("NP in 0.3 both", "neck_point neck_point both -0.3 length @jacket"),
    U("lower front neck 1", "neckline front_neck both +1 level @jacket"),
    U("raise back neck 0.5", "neckline back_neck both -0.5 level @jacket"),
    U("front neckline 1 deeper", "neckline front_neck both +1 level @jacket"),
    Q(
        "drop neckline 1",
        "place:front_neck,back_neck,both",
        "both",
        "neckline front_neck both +1 level @jacket",
        "neckline back_neck both +1 level @jacket",
    ),
    # --- fork, crotch, rise, seat
    U("back fork +0.5", "fork_extension back_fork both +0.5 length @trousers"),
    U("front fork 0.5 longer", "fork_extension front_fork both +0.5 length @trousers"),
    U("shorten the back fork by 1", "fork_extension back_fork both -1 length @trousers"),
    Q(
        "fork 0.5 longer",
        "place:front_fork,back_fork,both",
        "front_fork",
        "fork_extension front_fork both +0.5 length @trousers",
    ),
    U("crotch 1 deeper", "crotch_depth crotch both +1 level @trousers"),
    U("drop crotch 1", "crotch_depth crotch both +1 level @trousers"),
    U("crotch up half a cm", "crotch_depth crotch both -0.5 level @trousers"),
    U("seat wedge 1.5", "seat_wedge seat both +1.5 level @trousers"),
    U("back rise 1 longer", "seat_wedge seat both +1 level @trousers"),
    U("back rise -0.5", "seat_wedge seat both -0.5 level @trousers"),
    U("front rise 0.5 shorter", "front_rise front_waist both -0.5 level @trousers"),
    U("front rise +1", "front_rise front_waist both +1 level @trousers"),
    Q(
        "rise 1 longer",
        "place:crotch,front_waist,seat",
        "seat",
        "seat_wedge seat both +1 level @trousers",
    ),
    # --- body, armhole, shoulder, backs
    U("lengthen body 2 at waist", "body_length body both +2 level at=waist @jacket"),
    U("shorten the body at the bust line by 1", "body_length body both -1 level at=bust @jacket"),
    Q("jacket 2 longer", "at:waist,hem", "hem", "body_length body both +2 level at=hem @jacket"),
    U("armholes 1 deeper", "armhole_depth armhole both +1 level @jacket"),
    U("raise R armhole 0.5", "armhole_depth armhole right -0.5 level @jacket"),
    U("drop the armhole 1", "armhole_depth armhole both +1 level @jacket"),
    U("drop R shoulder 0.5", "shoulder_slope shoulder right +0.5 level @jacket"),
    U("L shoulder 1 lower", "shoulder_slope shoulder left +1 level @jacket"),
    U("shoulders 0.5 squarer", "shoulder_slope shoulder both -0.5 level @jacket"),
    U("square the shoulders by 0.5", "shoulder_slope shoulder both -0.5 level @jacket"),
    U("shoulder slope +0.7 R", "shoulder_slope shoulder right +0.7 level @jacket"),
    U("hollow back 1.5", "hollow_back back_waist both +1.5 level @jacket"),
    U("take out 1.5 for hollow back", "hollow_back back_waist both +1.5 level @jacket"),
    U("round back 1", "round_back upper_back both +1 level @jacket"),
    U("add 1 over the blades for round back", "round_back upper_back both +1 level @jacket"),
    # --- pockets, band
    U("side pockets 1 lower", "pocket_move side_pocket both +1 level @trousers"),
    U("raise patch pockets 2", "pocket_move patch_pocket both -2 level @jacket"),
    U("patch pocket L 1 towards side seam", "pocket_across patch_pocket left +1 length @jacket"),
    U("patch pockets 1.5 towards CF", "pocket_across patch_pocket both -1.5 length @jacket"),
    U("side pocket opening 1 longer", "pocket_opening side_pocket both +1 length @trousers"),
    U("pocket opening 0.5 shorter", "pocket_opening patch_pocket both -0.5 length @jacket", g="J"),
    Q(
        "pocket +1",
        "direction:lower,higher,longer,shorter",
        "lower",
        "pocket_move side_pocket both +1 level @trousers",
        g="T",
    ),
    U("waistband 76", "waistband_length waistband both +76 measure @trousers"),
    U(
        "waist measured 75.5 for the band",
        "waistband_length waistband both +75.5 measure @trousers",
    ),
    U("waistband 2 longer", "waistband_length waistband both +2 length @trousers"),
    U("take in waistband 1", "waistband_length waistband both -1 length @trousers"),
    U(
        "gather 3 into the waistband at back",
        "waistband_gather waistband both +3 length stretch=back @trousers",
    ),
    K("waistband 2", "2"),
    # --- fullness
    U("2 more across back in all", "fullness across_back both +2 girth @jacket"),
    Q(
        "1 more across the back",
        "meant_as:girth,half",
        "half",
        "fullness across_back both +2 girth @jacket",
    ),
    Q(
        "add 1 across the front",
        "meant_as:girth,half",
        "girth",
        "fullness across_front both +1 girth @jacket",
    ),
    U("upper arm girth +1 R", "fullness upper_arm right +1 girth @jacket"),
    Q(
        "R thigh 1 more room",
        "meant_as:girth,edge",
        "edge",
        "fullness thigh right +1 edge @trousers",
    ),
    U(
        "0.5 per edge more over the seat from the side seams",
        "fullness over_seat both +0.5 edge via=side_seam @trousers",
        g="T",
    ),
    U("trousers: less room in thighs, 1.5 in all", "fullness thigh both -1.5 girth @trousers"),
    # --- several things in one line
    U(
        "bust dart +1, shoulder dart -0.5, R shoulder drop 0.5",
        "bust_dart_intake bust_dart both +1 intake @jacket",
        "shoulder_dart_intake shoulder_dart both -0.5 intake @jacket",
        "shoulder_slope shoulder right +0.5 level @jacket",
    ),
    U(
        "shorten sleeves 1 and raise jacket hem 2",
        "sleeve_length sleeve_hem both -1 level @jacket",
        "hem jacket_hem both -2 level @jacket",
    ),
    U(
        "trousers: crotch 1 deeper, back fork +0.5, hem up 1",
        "crotch_depth crotch both +1 level @trousers",
        "fork_extension back_fork both +0.5 length @trousers",
        "hem trouser_hem both -1 level @trousers",
    ),
    U(
        "jacket hem up 2; trouser hem down 1",
        "hem jacket_hem both -2 level @jacket",
        "hem trouser_hem both +1 level @trousers",
    ),
    U(
        "neck point out 0.5 then lower front neck 1",
        "neck_point neck_point both +0.5 length @jacket",
        "neckline front_neck both +1 level @jacket",
    ),
    U(
        "diagonal folds from shoulder tip, R shoulder drop 0.5",
        "shoulder_slope shoulder right +0.5 level @jacket",
        obs="fit",
    ),
    U(
        "sleeves L 1 shorter, R 1.5",
        "sleeve_length sleeve_hem left -1 level @jacket",
        "sleeve_length sleeve_hem right -1.5 level @jacket",
    ),
    # --- negations, keeping
    O("leave the waist", "keep"),
    O("waist stays as it is", "keep"),
    O("do not touch the hem", "keep"),
    O("don't take in the CB", "keep"),
    O("no change to sleeve length", "keep"),
    U(
        "take in side seams 1 per edge, leave the hem",
        "let_out side_seam both -1 edge keep=hem @jacket",
        g="J",
    ),
    U("hem up 1 L, R stays", "hem trouser_hem left -1 level keep=right @trousers", g="T"),
    U(
        "take in side seam 1 per edge, not the left",
        "let_out side_seam right -1 edge @jacket",
        g="J",
    ),
    U("sleeves 1 shorter but not the right", "sleeve_length sleeve_hem left -1 level @jacket"),
    U(
        "crotch 1 deeper without touching the waist",
        "crotch_depth crotch both +1 level keep=waist @trousers",
    ),
    K("don't take in 1 at side seams", "1"),
    K("not 1 but 1.5 up at the hem", "1", "1.5"),
    # --- observations
    O("diagonal folds from shoulder tip"),
    O("pulls across the bust"),
    O("too tight over the seat"),
    O("smiles at the crotch"),
    O("back neck stands away"),
    O("drag lines from R bust to hip"),
    O("sleeve too long"),
    O("R shoulder lower than L"),
    O("gapes at the armhole"),
    O("hangs well"),
    O("balance good, side seam swings forward"),
    # --- trimmings
    O("buttons: horn, dark brown, 4 holes", "trimming"),
    O("buttons chosen: 5 corozo 18 mm", "trimming"),
    O("lining: bordeaux cupro", "trimming"),
    # --- not understood
    K("call Mrs Lindqvist about Thursday"),
    K("zorp the R flange 3", "R", "3"),
    K("shorten the sleeves"),
    K("take in a touch"),
    K("take in 1", "1"),
    K("1.5", "1.5"),
    K("R", "R"),
    K("side seams 1-1.5 in per edge", "1-1.5", g="J"),
    K("hem ±0.5", g="T"),
    K("shoulder +1", "+1"),
    K("lapel 1 wider", "1"),
    K("collar up 0.5", "0.5"),
    K("two fingers off the hem", "two", g="T"),
    K("side seam 3° out", "3", g="J"),
    K(""),
    # --- part understood: the rest is asked about
    Q(
        "bust dart +1, flange 3 zorped",
        "rest:go_on,keep_text",
        "go_on",
        "bust_dart_intake bust_dart both +1 intake @jacket",
    ),
    Q("trouser hem up 1 maybe", "rest:go_on,keep_text", "keep_text"),
    Q(
        "hem up 1?",
        "rest:go_on,keep_text",
        "go_on",
        "hem trouser_hem both -1 level @trousers",
        g="T",
    ),
    # --- contradictions
    K("hem up 1 down", "1", g="T"),
    K("take in and let out side seam 1 per edge", "1", g="J"),
    K("trouser hem up 1, trouser hem down 1", "1"),
    K("R L left hem up 1 only right", "1", g="T"),
    K("bust dart 1 deeper shallower", "1"),
    K("trouser hem up 1, leave trouser hem", "1"),
    K("jacket inseam let out 1 per edge", "1"),
    # --- inches and dictated numbers
    U("hem up 1", "hem trouser_hem both -2.54 level @trousers", g="T", unit="inch"),
    U("hem up 1/2 inch", "hem trouser_hem both -1.27 level @trousers", g="T"),
    U("hem up 1 in", "hem trouser_hem both -2.54 level @trousers", g="T"),
    U('hem up 1-1/4"', "hem trouser_hem both -3.175 level @trousers", g="T"),
    U("hem up 5 mm", "hem trouser_hem both -0.5 level @trousers", g="T"),
    U("hem up ½ R", "hem trouser_hem right -0.5 level @trousers", g="T"),
    U("hem up 1½", "hem trouser_hem both -1.5 level @trousers", g="T"),
    U("hem up three quarters of an inch", "hem trouser_hem both -1.905 level @trousers", g="T"),
    U("hem up one point five", "hem trouser_hem both -1.5 level @trousers", g="T"),
    U("hem up a centimetre", "hem trouser_hem both -1 level @trousers", g="T"),
    U("hem up two and a quarter centimetres", "hem trouser_hem both -2.25 level @trousers", g="T"),
    U("hem up 0.5cm", "hem trouser_hem both -0.5 level @trousers", g="T"),
    U("hem up .5", "hem trouser_hem both -0.5 level @trousers", g="T"),
    U("minus one on the trouser hem", "hem trouser_hem both -1 level @trousers"),
    U("plus half on R front rise", "front_rise front_waist right +0.5 level @trousers"),
)
